"""How one due date stands today, and an item with its two."""

from datetime import date
from enum import StrEnum

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance


class DueState(StrEnum):
    """The state of one due date, in the words that lists show."""

    OVERDUE = "overdue"
    DUE_SOON = "due soon"
    IN_DATE = "in date"
    NEVER = "never inspected"
    NOT_NEEDED = "none needed"
    REPAIR_LATE = "repair late"
    """Of a failure: the day is past by which it must be put right; its item, mostly withdrawn, is not overdue."""


def is_overdue(due: date | None, today: date) -> bool:
    """Tell whether a date has passed: an inspection is in time on its day, and overdue from the day after."""
    return due is not None and due < today


def waited_dates(item: Appliance) -> tuple[date | None, date | None]:
    """The next visual inspection and the next test that are waited for; of an item out of service none is."""
    return (item.next_visual, item.next_test) if item.state is ServiceState.IN_SERVICE else (None, None)


def nothing_due(state: ServiceState) -> str:
    """Why no inspection of an item in this state is waited for; empty for one in service."""
    if state is ServiceState.IN_SERVICE:
        return ""
    return "gone for good: nothing is due" if state is ServiceState.DISPOSED else f"nothing is due while it is {state}"


def is_item_overdue(item: Appliance, today: date) -> bool:
    """Tell whether an item waits for an inspection that is overdue."""
    return any(is_overdue(due, today) for due in waited_dates(item))


def due_state(due: date | None, *, inspected: bool, today: date, within_days: int) -> DueState:
    """State of a due date: overdue only after its day, due soon from `within_days` days before it.

    A date that is None means 'none needed' once the item has been inspected, 'never inspected' before.
    """
    if due is None:
        return DueState.NOT_NEEDED if inspected else DueState.NEVER
    if is_overdue(due, today):
        return DueState.OVERDUE
    return DueState.DUE_SOON if (due - today).days <= within_days else DueState.IN_DATE
