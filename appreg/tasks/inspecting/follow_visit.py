"""Which items of a visit are to be read again, since something happened to them: at another desk, or on another screen."""

from collections.abc import Collection, Iterator
from typing import Final

from appreg.core.records.kept_records import Appliance, Inspection, Instrument, Location, Record, Visit
from appreg.core.records.work_records import InspectionWithdrawal, NotInspected
from appreg.core.values.uids import Uid
from appreg.register.history.journal import End, changes_since
from appreg.register.opening.register_file import Register

_PLACED_BY: Final = frozenset({"site", "location", "tag"})
"""Fields of an item that its place on the walk follows from."""


def items_to_read_again(
    register: Register, visit_uid: Uid, walked: Collection[Uid], since: End
) -> frozenset[Uid] | None:
    """The walked items that something happened to after that line of the journal; None: the walk itself may be another."""
    visit = register.get(Visit, visit_uid)
    if any(each.uid == visit_uid for each in changes_since(register, since, Visit)):
        return None
    if any(changes_since(register, since, kind) for kind in (Location, Instrument)):
        return None
    changed = changes_since(register, since, Appliance)
    if any(each.uid in walked and _PLACED_BY & {*(each.after or ())} for each in changed):
        return None
    touched = {*(Uid(each.uid) for each in changed), *_inspected(register, since)}
    others = [item for uid in touched.difference(walked) for item in register.find_readable(Appliance, uid=uid)]
    return None if any(item.site == visit.site for item in others) else frozenset(touched.intersection(walked))


def _inspected(register: Register, since: End) -> Iterator[Uid]:
    """The items that were inspected, left out or taken back."""
    yield from _named(register, since, Inspection, "appliance")
    yield from _named(register, since, NotInspected, "appliance")
    for inspection in _named(register, since, InspectionWithdrawal, "inspection"):
        yield from (each.appliance for each in register.find_readable(Inspection, uid=inspection))


def _named(register: Register, since: End, kind: type[Record], field: str) -> Iterator[Uid]:
    """What a field of the records of a kind that were put in, altered or taken out holds."""
    for entry in changes_since(register, since, kind):
        row = {**(entry.before or {}), **(entry.after or {})}
        if field in row:
            yield Uid(str(row[field]))
        else:
            yield from (getattr(each, field) for each in register.find_readable(kind, uid=entry.uid))
