"""What another says came of an inspection: words of its own, so that none of them is taken for an outcome judged here."""

from enum import StrEnum


class StatedOutcome(StrEnum):
    """The result of an inspection as somebody else states it, without the readings that it rests on."""

    PASS = "stated pass"
    FAIL = "stated failure"
    UNSAID = "no result stated"
    """Nothing that can be read as either."""
