"""Keep remedial actions in step with inspections: a failure opens one, the pass that mends it closes it."""

from collections.abc import Sequence
from datetime import date

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.text import LONGEST
from appreg.errors import InputRefused
from appreg.register.journal.changes import Change
from appreg.register.opening.register_file import Register


def keep_remedial_actions(
    register: Register,
    change: Change,
    inspection: Inspection,
    findings: tuple[FindingRecord, ...],
    *,
    stands: Inspection | None,
    returned: Inspection | None,
) -> None:
    """Open an action for this failure, close those that nothing stands behind any more, or reopen what stands again.

    `stands` is the failure that stands after this inspection, `returned` the pass that the item is in order by again.
    """
    if inspection.outcome is Outcome.FAIL:
        change.put(_opened(register, change, inspection, what_failed(findings)))
    elif stands is not None:
        reopen_action(register, change, stands)
    elif returned is not None:
        for action in register.find(RemedialAction, appliance=inspection.appliance, closed_by=None):
            change.put(replace(action, closed_by=returned.uid))


def note_put_right(
    register: Register, change: Change, item: Appliance, failure: Inspection, *, done: str, on: date
) -> None:
    """Keep what was put right since a failure; raises InputRefused where nobody has said it.

    A repair recorded before stays as it is.
    """
    waiting = register.find(RemedialAction, appliance=item.uid, closed_by=None)
    if any(action.repair for action in waiting) and not done:
        return
    if not done:
        raise InputRefused(
            f"{item.tag} failed on {date_words(failure.date)}: say in a line what was put right before it passes; "
            "where the failure itself was mistyped, correct that record."
        )
    for action in waiting:
        if not action.repair:
            change.put(replace(action, repair=done, repaired_on=max(on, action.opened_on)))


def reopen_action(register: Register, change: Change, stands: Inspection) -> None:
    """Open the action of a failure again where what put it right does not count any more."""
    for action in register.find(RemedialAction, inspection=stands.uid):
        if action.closed_by is not None:
            change.put(replace(action, closed_by=None))


def _opened(register: Register, change: Change, inspection: Inspection, what: str) -> RemedialAction:
    """A correction that fails too takes over the action of the record it replaces."""
    if inspection.supersedes:
        for action in register.find(RemedialAction, inspection=inspection.supersedes, closed_by=None):
            return replace(action, inspection=inspection.uid, what=what)
    return RemedialAction(
        uid=change.new_uid(),
        appliance=inspection.appliance,
        inspection=inspection.uid,
        what=what,
        opened_on=inspection.date,
    )


def what_failed(findings: Sequence[FindingRecord]) -> str:
    """Each check that failed with what was said of it, or its reading; empty where none did."""
    failed = [each for each in findings if each.finding == CheckResult.FAIL]
    return "; ".join(_line(each) for each in failed)[:LONGEST]


def _line(finding: FindingRecord) -> str:
    name = finding.check_name.replace("-", " ")
    said = finding.remark or " ".join(part for part in (finding.reading, finding.unit) if part)
    return f"{name}: {said}" if said else name
