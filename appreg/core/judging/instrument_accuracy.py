"""What an instrument's handbook states of its accuracy, by check and range, as one line of text.

The line reads ``earth-continuity to 1.99: 2 % + 5 × 0.01; insulation: 30 %``: parts parted by semicolons, each a check,
optionally the top of its range in the check's unit, the per cent of reading, and optionally digits × resolution.
"""

import re
from decimal import Decimal
from typing import Final

from msgspec import Struct

from appreg.core.judging.uncertainty import Accuracy
from appreg.core.records.checks import Check
from appreg.core.rules.second_lines import LINE_OF
from appreg.errors import InputRefused

_NUMBER: Final = r"[0-9]{1,9}(?:\.[0-9]{1,9})?"
_PART: Final = re.compile(
    rf"(?P<check>[a-z0-9.-]+)(?:\s+to\s+(?P<top>{_NUMBER}))?\s*:\s*(?P<percent>{_NUMBER})\s*%"
    rf"(?:\s*\+\s*(?P<digits>[0-9]{{1,6}})\s*[×x]\s*(?P<resolution>{_NUMBER}))?",
    re.ASCII,
)


class AccuracyRange(Struct, frozen=True):
    """The accuracy of one check up to the top of one range."""

    check: Check
    top: Decimal | None
    """In the unit of the check; None: any reading."""
    accuracy: Accuracy


class InstrumentAccuracy(Struct, frozen=True):
    """All ranges an instrument states."""

    ranges: tuple[AccuracyRange, ...] = ()

    def _stated(self, check: Check) -> list[AccuracyRange]:
        """The ranges of a check; a second line is measured by the function of the first."""
        own = [r for r in self.ranges if r.check is check]
        return own or [r for r in self.ranges if r.check is _function_of(check)]

    def of(self, check: Check, value: Decimal) -> Accuracy | None:
        """The accuracy of the smallest stated range that holds a reading; None where none is stated."""
        holding = [r for r in self._stated(check) if r.top is None or value <= r.top]
        return min(holding, key=_range_order).accuracy if holding else None

    def top_of(self, check: Check) -> Decimal | None:
        """The top of the highest range of a check, in its unit; None where it is not stated."""
        tops = [r.top for r in self._stated(check)]
        return max((top for top in tops if top is not None), default=None) if None not in tops else None


def _function_of(check: Check) -> Check:
    line = LINE_OF.get(check)
    return check if line is None else Check.INSULATION if check is line.insulation else Check.LEAKAGE


def _range_order(stated: AccuracyRange) -> tuple[bool, Decimal]:
    return (stated.top is None, stated.top or Decimal(0))


def parse_accuracy(text: str) -> InstrumentAccuracy:
    """Read the line a person keeps with an instrument; raises InputRefused naming the part."""
    parts = [part.strip() for part in text.split(";")]
    return InstrumentAccuracy(tuple(_range_from(part) for part in parts if part))


def _range_from(part: str) -> AccuracyRange:
    match = _PART.fullmatch(part)
    if match is None:
        raise InputRefused(
            f"accuracy: '{part[:60]}' is not understood; write it like 'earth-continuity to 1.99: 2 % + 5 × 0.01'.",
            field="accuracy",
        )
    try:
        check = Check(match["check"])
    except ValueError:
        names = ", ".join(Check)
        raise InputRefused(
            f"accuracy: '{match['check'][:60]}' is not a check; use one of {names}.", field="accuracy"
        ) from None
    return AccuracyRange(
        check,
        Decimal(match["top"]) if match["top"] else None,
        Accuracy(
            percent=Decimal(match["percent"]),
            digits=int(match["digits"] or 0),
            resolution=Decimal(match["resolution"] or 0),
        ),
    )
