"""The closed sets of answers: of one check, and of a whole inspection."""

from enum import StrEnum
from typing import Final


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


AS_FOUND_BAD: Final = CheckResult.FAIL.value
"""How the first attempt of a check without a figure ends where what was found was put right on the spot."""
