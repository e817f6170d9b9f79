"""Settle what two places left at different values: a person says which is meant, and that is a change like any other."""

from collections.abc import Iterable, Sequence
from typing import Any, Final

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Category, Location, Record, Site
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.contests import Contest, ContestedValue, contests_in, contests_of
from appreg.register.journal.changes import Change
from appreg.register.journal.doubles import ONCE
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import KINDS_BY_TABLE, kind_of
from appreg.register.schema.references import REFERENCES
from appreg.tasks.records.change_record import Changeable, change_record
from appreg.tasks.standing.settle_standing import held_back, read_standing, settle_items

__all__ = [
    "Contest", "ContestedValue", "asked_together", "give_anew", "is_given_anew", "is_typed", "open_contests", "settle",
    "settle_anew",
]  # fmt: skip
_CHANGED_BY_HAND = frozenset(kind_of(kind).table for kind in Changeable.__constraints__)
_GIVEN_ANEW: Final = frozenset(kind_of(kind).table for kind in (Appliance, Site, Category))
_ITEMS: Final = kind_of(Appliance).table
_SITE: Final = "site"
_LOCATION: Final = "location"


def open_contests(register: Register) -> tuple[Contest, ...]:
    """All fields whose value two places contest, until somebody settles them."""
    return asked_together(contests_in(register))


def asked_together(contests: Sequence[Contest]) -> tuple[Contest, ...]:
    """Without the sites of items whose location is contested too: whoever says the location says the site."""
    placed = {each.uid for each in contests if each.table == _ITEMS and each.field == _LOCATION}
    return tuple(each for each in contests if (each.table, each.field) != (_ITEMS, _SITE) or each.uid not in placed)


def settle(register: Register, who: str, contest: Contest, value: ContestedValue) -> Uid:
    """Keep one of the contested values; the one that stands is noted as kept. Returns the change's key.

    Raises InputRefused where the contest is no longer what was shown, or where the value cannot stand.
    """
    with register.change(who, "settled") as change:
        _refuse_settled(register, contest)
        if value not in contest.values:
            raise InputRefused(f"That is none of the values of {contest.called}; choose one of those listed.")
        record: Any = register.get(KINDS_BY_TABLE[contest.table].record, contest.uid)  # type: ignore[arg-type]
        kept = _held_back(register, replace(record, **{contest.field: value.value}))
        fields = {contest.field}
        if isinstance(kept, Appliance) and contest.field in {_SITE, _LOCATION}:
            kept = _placed(register, kept, contest)
            fields = {each.field for each in contests_of(register, contest.table, contest.uid)} & {_SITE, _LOCATION}
        change.put(kept)
        _note_kept(change, record, kept, fields)
        settle_items(register, change, _depending(register, kept) if kept != record else ())
        return change.uid


def _note_kept(change: Change, before: Record, kept: Record, fields: Iterable[str]) -> None:
    """What stays is said too: else nobody could tell that it was settled."""
    for field in sorted(fields):
        if getattr(before, field) == getattr(kept, field):
            change.note_kept(kept, field)


def _placed(register: Register, item: Appliance, contest: Contest) -> Appliance:
    """The item at the site of the location that is meant, or at the location that was said with the site that is meant."""
    at = {each.uid: each.site for each in register.find(Location)}
    if contest.field == _LOCATION:
        return replace(item, site=at.get(item.location, item.site))
    said = [
        value.value
        for each in contests_of(register, contest.table, contest.uid)
        if each.field == _LOCATION
        for value in each.values
    ]
    fitting = [each for each in (*said, item.location) if at.get(each) == item.site]
    if not fitting:
        raise InputRefused(
            f"The site of {contest.called} was not settled: its location belongs to another; move the item to a location "
            "of the site that is meant."
        )
    return replace(item, location=fitting[-1])


def _held_back(register: Register, record: Any) -> Any:
    return held_back(record, read_standing(register, record.uid)) if isinstance(record, Appliance) else record


def is_typed(contest: Contest) -> bool:
    """Tell whether another value than those listed can simply be typed: a text that names no other record."""
    names_another = contest.field in REFERENCES.get(contest.table, {})
    return (
        contest.table in _CHANGED_BY_HAND
        and not names_another
        and all(type(each.value) is str for each in contest.values)
    )


def settle_anew(register: Register, who: str, contest: Contest, typed: str) -> Uid:
    """Settle a contest of texts by another one; raises InputRefused as settle() and where it cannot stand."""
    for value in contest.values:
        if value.value == typed:
            return settle(register, who, contest, value)
    with register.change(who, "settled") as change:
        _refuse_settled(register, contest)
        record: Any = register.get(KINDS_BY_TABLE[contest.table].record, contest.uid)  # type: ignore[arg-type]
        kept = change_record(register, who, replace(record, **{contest.field: typed}))
        if getattr(kept, contest.field) == contest.stands.value:
            change.note_kept(kept, contest.field)
        return change.uid


def give_anew(register: Register, who: str, table: str, uid: Uid, typed: str) -> Uid:
    """Give an item, a site or a category whose tag, prefix or code another has too one of its own.

    Raises InputRefused where that is taken as well, and for numbers of documents, which stay as they were printed.
    """
    if table not in _GIVEN_ANEW:
        raise InputRefused(
            f"What was kept as {KINDS_BY_TABLE[table].caption} stays as it is, also where its number was given twice."
        )
    record: Any = register.get(KINDS_BY_TABLE[table].record, uid)
    with register.change(who, "settled") as change:
        change_record(register, who, replace(record, **{ONCE[table][0]: typed}))
        return change.uid


def is_given_anew(table: str) -> bool:
    """Tell whether give_anew() takes records of the kind."""
    return table in _GIVEN_ANEW


def _refuse_settled(register: Register, contest: Contest) -> None:
    if contest not in contests_of(register, contest.table, contest.uid):
        raise InputRefused(
            f"The {contest.field.replace('_', ' ')} of {contest.called} was settled or changed meanwhile; "
            "look at the list again."
        )


def _depending(register: Register, record: Any) -> list[Appliance]:
    """The items whose dates may follow from the record."""
    if isinstance(record, Appliance):
        return [record]
    if isinstance(record, Site):
        return list(appliances_of(register, site=record.uid))
    if isinstance(record, Location):
        return list(appliances_of(register, location=record.uid))
    if isinstance(record, Category):
        return register.find(Appliance, category=record.uid)
    return []
