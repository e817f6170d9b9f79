"""Record what is done about a failed item: who was told, and the repair."""

from datetime import date

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.journal.journal_ends import in_journal_order
from appreg.register.opening.register_file import Register
from appreg.tasks.records.merge_changes import merged


def record_repair(
    register: Register,
    who: str,
    *,
    action: Uid,
    repair: str = "",
    on: date | None = None,
    told: str = "",
    opened: RemedialAction | None = None,
) -> RemedialAction:
    """Add to a remedial action; the item stays withdrawn until a combined inspection and test passes.

    Raises InputRefused where a repair has no date, or the item has passed already; with `opened`, the action as it
    stood when the form was opened, ChangedMeanwhile where another desk wrote the same field since.
    """
    with register.change(who) as change:
        before = register.get(RemedialAction, action)
        item = register.get(Appliance, before.appliance)
        if before.closed_by:
            raise InputRefused(f"{item.tag} has passed since: this remedial action is closed.")
        what = clean(repair, field="repair")
        if what and on is None:
            raise InputRefused(f"repair of {item.tag}: no date is given; say when it was done.", field="on")
        if on is not None and on < before.opened_on:
            raise InputRefused(
                f"repair of {item.tag}: {date_words(on)} is before the failure of {date_words(before.opened_on)}.",
                field="on",
            )
        was = opened or before
        wanted = replace(
            was,
            repair=what or was.repair,
            repaired_on=on or was.repaired_on,
            told=clean(told, field="told") or was.told,
        )
        kept = merged(register, was, wanted)
        change.put(kept)
    return kept


def open_actions(register: Register, appliance: Uid | None = None) -> tuple[RemedialAction, ...]:
    """The remedial actions still open, oldest first; of one item or of all."""
    if appliance is not None:
        return tuple(in_journal_order(register, register.find(RemedialAction, appliance=appliance, closed_by=None)))
    return tuple(in_journal_order(register, register.find(RemedialAction, closed_by=None)))
