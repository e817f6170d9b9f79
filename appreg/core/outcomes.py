"""The closed sets of answers: of one check, and of a whole inspection."""

from enum import StrEnum


class Outcome(StrEnum):
    """What an inspection comes to; only a complete set of required checks passes."""

    PASS = "pass"
    FAIL = "fail"
    INCOMPLETE = "incomplete"


class CheckResult(StrEnum):
    """What one check comes to."""

    PASS = "pass"
    FAIL = "fail"
    INCONCLUSIVE = "inconclusive"
    NOT_DONE = "not-done"
