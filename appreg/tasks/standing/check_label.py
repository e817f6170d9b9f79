"""Check whether what a label says of its item still holds."""

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, LabelKind, QueuedLabel
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.register.opening.register_file import Register
from appreg.tasks.standing.settle_standing import Standing, read_standing


def why_untrue(register: Register, queued: QueuedLabel, item: Appliance) -> str:
    """Why a label must not be stuck on its item, in words that follow 'it'; empty where all it says holds."""
    if item.state is ServiceState.DISPOSED:
        return "is disposed of"
    standing = read_standing(register, item.uid)
    if queued.kind is LabelKind.DO_NOT_USE:
        return "" if standing.failure is not None else "has no failure that stands"
    return _why_no_pass(queued, item, standing)


def may_bear_pass(item: Appliance, standing: Standing) -> bool:
    """Tell whether an item may bear a pass label: in service, its latest result a pass, and no failure stands."""
    passed = standing.last is not None and standing.last.outcome is Outcome.PASS
    return passed and item.state is ServiceState.IN_SERVICE and standing.failure is None


def _why_no_pass(queued: QueuedLabel, item: Appliance, standing: Standing) -> str:
    if standing.failure is not None:
        return f"failed on {date_words(standing.failure.date)}"
    if item.state is not ServiceState.IN_SERVICE:
        return f"is {item.state}"
    if standing.last is None or standing.last.uid != queued.inspection:
        return "has another latest result"
    return "" if may_bear_pass(item, standing) else f"came out as {standing.last.outcome}"
