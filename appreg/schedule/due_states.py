"""How one due date stands today."""

from datetime import date
from enum import StrEnum


class DueState(StrEnum):
    """The state of one due date, in the words that lists show."""

    OVERDUE = "overdue"
    DUE_SOON = "due soon"
    IN_DATE = "in date"
    NEVER = "never inspected"
    NOT_NEEDED = "none needed"


def due_state(due: date | None, *, inspected: bool, today: date, within_days: int) -> DueState:
    """State of a due date: overdue only after its day, due soon from `within_days` days before it.

    A date that is None means 'none needed' once the item has been inspected, 'never inspected' before.
    """
    if due is None:
        return DueState.NOT_NEEDED if inspected else DueState.NEVER
    if due < today:
        return DueState.OVERDUE
    return DueState.DUE_SOON if (due - today).days <= within_days else DueState.IN_DATE
