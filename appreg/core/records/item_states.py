"""How an item stands, in the words that lists are kept to."""

from enum import StrEnum


class ItemState(StrEnum):
    """A state of service, or what waits for an item; some hold at the same time."""

    IN_SERVICE = "in-service"
    WITHDRAWN = "withdrawn"
    MISSING = "missing"
    DISPOSED = "disposed"
    OVERDUE = "overdue"
    DUE_SOON = "due-soon"
    NEVER = "never-inspected"
    FAILED = "failed"
