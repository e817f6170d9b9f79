"""Settle what two places left at different values: a person says which is meant, and that is a change like any other."""

from typing import Any

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Category, Location, Site
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.contests import Contest, ContestedValue, contests_in, contests_of
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import KINDS_BY_TABLE, kind_of
from appreg.register.schema.references import REFERENCES
from appreg.tasks.records.change_record import Changeable, change_record
from appreg.tasks.standing.settle_standing import held_back, read_standing, settle_items

__all__ = ["Contest", "ContestedValue", "is_typed", "open_contests", "settle", "settle_anew", "take_new_tag"]
_CHANGED_BY_HAND = frozenset(kind_of(kind).table for kind in Changeable.__constraints__)


def open_contests(register: Register) -> tuple[Contest, ...]:
    """All fields whose value two places contest, until somebody settles them."""
    return contests_in(register)


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
        if getattr(kept, contest.field) == getattr(record, contest.field):
            change.note_kept(record, contest.field)
            return change.uid
        change.put(kept)
        settle_items(register, change, _depending(register, kept))
        return change.uid


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


def take_new_tag(register: Register, who: str, item: Uid, tag: str) -> Uid:
    """Give an item whose tag another one bears too a tag of its own; raises InputRefused where that is taken as well."""
    with register.change(who, "settled") as change:
        change_record(register, who, replace(register.get(Appliance, item), tag=tag))
        return change.uid


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
