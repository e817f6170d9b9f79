"""What a reading proves against a limit, comparator and over-range display respected."""

from decimal import Decimal

from appreg.core.lean_dataclasses import dataclass
from appreg.core.limits import Limit, terse
from appreg.core.outcomes import CheckResult
from appreg.core.readings import Comparator, Reading


@dataclass(frozen=True, slots=True)
class Comparison:
    """What a reading proves, and why where it proves nothing."""

    result: CheckResult
    reason: str = ""


_PASS = Comparison(CheckResult.PASS)
_FAIL = Comparison(CheckResult.FAIL)
_FIRMEST = (CheckResult.FAIL, CheckResult.INCONCLUSIVE, CheckResult.PASS)


def compare(reading: Reading, limit: Limit) -> Comparison:
    """Compare the unrounded reading with the unrounded limit; a doubt is inconclusive, never a pass."""
    against = []
    if limit.high is not None:
        against.append(_against_upper(reading, limit.high))
    if limit.low is not None:
        against.append(_against_lower(reading, limit.low))
    return min(against, key=lambda comparison: _FIRMEST.index(comparison.result))


def _against_upper(reading: Reading, high: Decimal) -> Comparison:
    if reading.value is None:
        return Comparison(CheckResult.FAIL, "over range, beyond any such limit")
    if reading.comparator is Comparator.GREATER:
        return _FAIL if reading.value >= high else _undecided(reading, high, "below")
    if reading.value <= high:
        return _PASS
    return _undecided(reading, high, "above") if reading.comparator is Comparator.LESS else _FAIL


def _against_lower(reading: Reading, low: Decimal) -> Comparison:
    if reading.value is None:
        return Comparison(CheckResult.INCONCLUSIVE, "OL says nothing of the range; type its top, say >299")
    if reading.comparator is Comparator.LESS:
        return _FAIL if reading.value <= low else _undecided(reading, low, "above")
    if reading.value >= low:
        return _PASS
    return _undecided(reading, low, "below") if reading.comparator is Comparator.GREATER else _FAIL


def _undecided(reading: Reading, limit: Decimal, side: str) -> Comparison:
    value = reading.value if reading.value is not None else Decimal(0)
    proven = f"{reading.comparator}{terse(value)}"
    return Comparison(
        CheckResult.INCONCLUSIVE, f"{proven} proves nothing: it ends {side} {terse(limit)} {reading.unit}"
    )
