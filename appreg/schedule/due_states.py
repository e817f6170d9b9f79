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


def is_overdue(due: date | None, today: date) -> bool:
    """Tell whether a date has passed: an inspection is in time on its day, and overdue from the day after."""
    return due is not None and due < today


def is_item_overdue(item: Appliance, today: date) -> bool:
    """Tell whether an item in service waits for an inspection that is overdue; of others none is waited for."""
    waits = item.state is ServiceState.IN_SERVICE
    return waits and (is_overdue(item.next_visual, today) or is_overdue(item.next_test, today))


def due_state(due: date | None, *, inspected: bool, today: date, within_days: int) -> DueState:
    """State of a due date: overdue only after its day, due soon from `within_days` days before it.

    A date that is None means 'none needed' once the item has been inspected, 'never inspected' before.
    """
    if due is None:
        return DueState.NOT_NEEDED if inspected else DueState.NEVER
    if is_overdue(due, today):
        return DueState.OVERDUE
    return DueState.DUE_SOON if (due - today).days <= within_days else DueState.IN_DATE
