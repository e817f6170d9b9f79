"""Mend items that show another result than their inspections come to, as an older version or another hand left them."""

from typing import Final

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, QueuedLabel
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.errors import AppregError
from appreg.register.journal.changes import Change
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.standing.check_standings import contradictions
from appreg.tasks.standing.keep_remedial_actions import reopen_action
from appreg.tasks.standing.queue_labels import queue_latest_label
from appreg.tasks.standing.settle_standing import Standing, read_standing, settled

AUTHOR: Final = "appreg"
"""Who the journal names: nobody asked for it."""
_REASON: Final = "settled anew in the journal's order"
_NAMED: Final = 5
_WHY: Final = (
    "their inspections count in the order in which they were saved, and a clock was set back, a date entered late, or "
    "a result altered behind the register's back"
)


def mend_standings(register: Register, items: list[Appliance]) -> tuple[str, ...]:
    """Settle those of the items that need it, in one journalled change, and say which; never raises AppregError."""
    wrong = [
        (item, standing)
        for item in items
        if _contradicted(register, item, standing := read_standing(register, item.uid))
    ]
    if not wrong:
        return ()
    what = _words(wrong)
    try:
        with register.change(AUTHOR, _REASON) as change:
            for item, standing in wrong:
                mend_item(register, change, item, standing)
    except AppregError as refusal:
        return (f"Do not rely on what these items show, it cannot be settled now: {what}. {refusal}",)
    return (f"Settled anew, as {_WHY}: {what}. Look at their labels, and run `appreg verify`.",)


def mend_item(register: Register, change: Change, item: Appliance, standing: Standing) -> None:
    """Put result, state, labels and repairs of one item right; what is withdrawn stays so until a person returns it."""
    kept = settled(item, standing, RuleFinder(register).of(item))
    if standing.failure is not None and item.state is ServiceState.IN_SERVICE:
        kept = replace(kept, state=ServiceState.WITHDRAWN)
    change.put(kept)
    if standing.last is None:
        for waiting in _waiting(register, item):
            change.remove(waiting)
    elif any(waiting.inspection != standing.last.uid for waiting in _waiting(register, item)):
        queue_latest_label(register, change, standing.last)
    if standing.failure is not None:
        reopen_action(register, change, standing.failure)
    elif standing.tested_by is not None:
        for action in register.find(RemedialAction, appliance=item.uid, closed_by=None):
            change.put(replace(action, closed_by=standing.tested_by.uid))


def _contradicted(register: Register, item: Appliance, standing: Standing) -> bool:
    return bool(contradictions(item, standing, _waiting(register, item)))


def _waiting(register: Register, item: Appliance) -> list[QueuedLabel]:
    return register.find(QueuedLabel, appliance=item.uid, printed_on=None)


def _words(wrong: list[tuple[Appliance, Standing]]) -> str:
    named = [f"{item.tag} {_result(standing.last)} (shown as {item.last_outcome or 'new'})" for item, standing in wrong]
    more = f" and {len(named) - _NAMED} more" if len(named) > _NAMED else ""
    return ", ".join(named[:_NAMED]) + more


def _result(last: Inspection | None) -> Outcome | str:
    return "not inspected" if last is None else last.outcome
