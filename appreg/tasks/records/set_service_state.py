"""Withdraw an item or many, report it missing, dispose of it, or put it back into service."""

from collections.abc import Sequence

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, QueuedLabel
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.journal import End
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import LONGEST_NOTE
from appreg.tasks.records.merge_changes import refuse_changed_since
from appreg.tasks.standing.settle_standing import read_standing


def set_service_state(
    register: Register, who: str, *, appliance: Uid, state: ServiceState, reason: str = ""
) -> Appliance:
    """Set the state; the reason joins the item's notes. Raises InputRefused for a return while a failure stands."""
    said = clean(reason, field="reason")
    with register.change(who, said) as change:
        item = register.get(Appliance, appliance)
        if state is ServiceState.IN_SERVICE:
            _refuse_standing_failure(register, item)
        notes = item.notes
        if said:
            notes = clean(f"{notes} {state}: {said}".strip(), field="appliance notes", longest=LONGEST_NOTE)
        kept = replace(item, state=state, notes=notes)
        change.put(kept)
        if item.state is state:
            change.note_kept(kept, "state")  # said again, whoever or whatever had set it
        if state is ServiceState.DISPOSED:
            for waiting in register.find(QueuedLabel, appliance=item.uid, printed_on=None):
                change.remove(waiting)
    return kept


def _refuse_standing_failure(register: Register, item: Appliance) -> None:
    failure = read_standing(register, item.uid).failed_on
    if failure is not None:
        raise InputRefused(
            f"{item.tag} failed on {date_words(failure)} and has not passed since: after the repair record a "
            "combined inspection and test, which returns it to service."
        )


def set_many_states(
    register: Register,
    who: str,
    *,
    appliances: Sequence[Uid],
    state: ServiceState,
    reason: str = "",
    since: End | None = None,
) -> tuple[Appliance, ...]:
    """Set the state of each item in one transaction; raises what set_service_state raises.

    `since` is the end of the journal when it was asked for; raises ChangedMeanwhile where a state changed after it.
    """
    with register.change(who):
        refuse_changed_since(register, since, appliances, "state")
        return tuple(
            set_service_state(register, who, appliance=uid, state=state, reason=reason)
            for uid in dict.fromkeys(appliances)
        )
