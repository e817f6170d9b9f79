"""Mend items that show another result than their inspections come to, as an older version or another hand left them."""

from typing import Final

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, QueuedLabel
from appreg.core.records.work_records import RemedialAction
from appreg.errors import AppregError
from appreg.register.journal.changes import Change
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.standing.check_standings import contradictions
from appreg.tasks.standing.keep_remedial_actions import reopen_action
from appreg.tasks.standing.queue_labels import queue_latest_label
from appreg.tasks.standing.settle_standing import Standing, held_back, read_standing, settled

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
    looked_at = [(item, read_standing(register, item.uid)) for item in items]
    wrong = [(item, standing) for item, standing in looked_at if _contradicted(register, item, standing)]
    known = {item.uid for item, _ in wrong}
    late = [each for each in looked_at if each[0].uid not in known and is_dated_late(*each)]
    if not wrong and not late:
        return ()
    what = ", ".join(part for part in (_words(wrong), _named(late)) if part)
    try:
        with register.change(AUTHOR, _REASON) as change:
            for item, standing in (*wrong, *late):
                mend_item(register, change, item, standing)
    except AppregError as refusal:
        return (f"Do not rely on what these items show, it cannot be settled now: {what}. {refusal}",)
    said = []
    if wrong:
        said.append(f"Settled anew, as {_WHY}: {_words(wrong)}. Look at their labels, and run `appreg verify`.")
    if late:
        said.append(f"Never tested, so their first test is now due since they were first inspected: {_named(late)}.")
    return tuple(said)


def is_dated_late(item: Appliance, standing: Standing) -> bool:
    """Tell whether the first test of an item that never passed one is shown due later than it was first inspected."""
    due, seen = item.next_test, standing.seen_on
    tested = standing.tested_by is not None or standing.stated.test is not None
    return not tested and due is not None and seen is not None and due > seen


def mend_item(register: Register, change: Change, item: Appliance, standing: Standing) -> None:
    """Put result, state, labels and repairs of one item right; what is withdrawn stays so until a person returns it."""
    change.put(held_back(settled(item, standing, RuleFinder(register).of(item)), standing))
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
    named = [
        f"{item.tag} {standing.shown[1] or 'not inspected'} (shown as {item.last_outcome or 'new'})"
        for item, standing in wrong
    ]
    return _few(named)


def _named(late: list[tuple[Appliance, Standing]]) -> str:
    return _few([item.tag for item, _ in late])


def _few(named: list[str]) -> str:
    more = f" and {len(named) - _NAMED} more" if len(named) > _NAMED else ""
    return ", ".join(named[:_NAMED]) + more
