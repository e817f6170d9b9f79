"""Check whether what a label says of its item still holds."""

from datetime import date

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, LabelKind, QueuedLabel
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.schedule.due_states import is_overdue
from appreg.tasks.standing.settle_standing import Standing


def why_untrue(queued: QueuedLabel, item: Appliance, standing: Standing, today: date) -> str:
    """Why a label must not be stuck on its item, in words that follow 'it'; empty where all it says holds."""
    if item.state is ServiceState.DISPOSED:
        return "is disposed of"
    if queued.kind is LabelKind.DO_NOT_USE:
        stated = standing.stated_failure
        stands = standing.failure is not None or (stated is not None and stated.uid == queued.inspection)
        return "" if stands else "has no failure that stands"
    return why_no_pass(item, standing, today, told=queued.inspection)


def why_no_pass(item: Appliance, standing: Standing, today: date, *, told: Uid | None = None) -> str:
    """Why an item may not bear the label of a pass, that of the inspection `told`, in words that follow 'it'; else empty.

    It may in service, its latest result a pass, no failure standing, and in date for what the label tells: one of a test
    for both, one of a look for the look alone, for it names a test that is overdue.
    """
    if standing.failed_on is not None:
        return f"failed on {date_words(standing.failed_on)}"
    if item.state is not ServiceState.IN_SERVICE:
        return f"is {item.state}"
    if standing.last is None or (told is not None and standing.last.uid != told):
        return "has another latest result"
    if standing.last.outcome is not Outcome.PASS:
        return f"came out as {standing.last.outcome}"
    return _why_late(item, standing.last, today)


def _why_late(item: Appliance, last: Inspection, today: date) -> str:
    waited = [(item.next_visual, "visual")]
    if last.kind is InspectionKind.COMBINED:
        waited.append((item.next_test, "test"))
    late = [(on, DUE_WORDS[what]) for on, what in waited if on is not None and is_overdue(on, today)]
    if not late:
        return ""
    on, what = min(late)
    return f"was due for its next {what} on {date_words(on)}"
