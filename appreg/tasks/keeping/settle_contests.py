"""Settle what two places left at different values: a person says which is meant, and that is a change like any other."""

from typing import Any

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Category, Location, Site
from appreg.errors import InputRefused
from appreg.register.history.contests import Contest, ContestedValue, contests_in, contests_of
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import KINDS_BY_TABLE
from appreg.tasks.standing.settle_standing import settle_items

__all__ = ["Contest", "ContestedValue", "open_contests", "settle"]


def open_contests(register: Register) -> tuple[Contest, ...]:
    """All fields whose value two places contest, until somebody settles them."""
    return contests_in(register)


def settle(register: Register, who: str, contest: Contest, value: ContestedValue) -> None:
    """Keep one of the contested values; the one that stands is noted as kept.

    Raises InputRefused where the contest is no longer what was shown, or where the value cannot stand.
    """
    with register.change(who, "settled") as change:
        if contest not in contests_of(register, contest.table, contest.uid):
            raise InputRefused(
                f"The {contest.field.replace('_', ' ')} of {contest.called} was settled or changed meanwhile; "
                "look at the list again."
            )
        if value not in contest.values:
            raise InputRefused(f"That is none of the values of {contest.called}; choose one of those listed.")
        record: Any = register.get(KINDS_BY_TABLE[contest.table].record, contest.uid)  # type: ignore[arg-type]
        if value.cell == contest.stands.cell:
            change.note_kept(record, contest.field)
            return
        kept = replace(record, **{contest.field: value.value})
        change.put(kept)
        settle_items(register, change, _depending(register, kept))


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
