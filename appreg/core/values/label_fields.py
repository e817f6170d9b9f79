"""What a rule book may want a label to name besides tag, result and date."""

from enum import StrEnum


class LabelField(StrEnum):
    """One thing that stands on a label."""

    INITIALS = "initials"
    TESTER = "tester"
    """Whoever tested: a person or a firm."""
    FIRM = "firm"
    """The firm of whoever tested."""
    NEXT_DATE = "next-date"
