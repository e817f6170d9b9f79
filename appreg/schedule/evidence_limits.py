"""What evidence is held against: limits on a failure rate, and the steps of an interval.

The confidence limits are exact (Clopper and Pearson 1934).
"""

from collections.abc import Callable
from math import exp, lgamma, log, log1p
from typing import Final, NamedTuple

from appreg.core.values.periods import Period

_TINY: Final = 1e-300
_CLOSE: Final = 1e-16
_MOST_TERMS: Final = 20_000
_MOST_HALVINGS: Final = 1_100
"""Enough to reach the smallest float from 1."""


class RateLimits(NamedTuple):
    """Limits between which a failure rate lies, as fractions."""

    lower: float
    upper: float


def failure_limits(failures: int, inspections: int, confidence: float = 0.95) -> RateLimits:
    """Two-sided limits: each side is missed with half of what the confidence leaves."""
    tail = (1 - confidence) / 2
    return RateLimits(_lower(failures, inspections, tail), _upper(failures, inspections, tail))


def first_enough(least: int, enough: Callable[[int], bool]) -> int:
    """The first whole number from the least for which something holds that holds for all after it."""
    high = max(1, least)
    low = high - 1
    while not enough(high):
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def _lower(failures: int, inspections: int, tail: float) -> float:
    if failures == 0:
        return 0.0
    return beta_quantile(tail, failures, inspections - failures + 1)


def _upper(failures: int, inspections: int, tail: float) -> float:
    if failures >= inspections:
        return 1.0
    # Taken from the other end, so that a tail close to nothing is not lost in 1 - tail.
    return 1 - beta_quantile(tail, inspections - failures, failures + 1)


def beta_quantile(share: float, a: int, b: int) -> float:
    """The value below which a share of the beta distribution lies; by halving, to the last digit."""
    low, high = 0.0, 1.0
    for _ in range(_MOST_HALVINGS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if beta_share(middle, a, b) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def beta_share(value: float, a: float, b: float) -> float:
    """The share of the beta distribution below a value: the regularised incomplete beta function."""
    if value <= 0:
        return 0.0
    if value >= 1:
        return 1.0
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(value) + b * log1p(-value))
    if value < (a + 1) / (a + b + 2):
        return front * _fraction(value, a, b) / a
    return 1 - front * _fraction(1 - value, b, a) / b


def _fraction(value: float, a: float, b: float) -> float:
    """The continued fraction of the incomplete beta function, by Lentz's method."""
    c = 1.0
    d = 1 / _not_zero(1 - (a + b) * value / (a + 1))
    total = d
    for term in range(1, _MOST_TERMS):
        even = term * (b - term) * value / ((a + 2 * term - 1) * (a + 2 * term))
        odd = -(a + term) * (a + b + term) * value / ((a + 2 * term) * (a + 2 * term + 1))
        for step in (even, odd):
            d = 1 / _not_zero(1 + step * d)
            c = _not_zero(1 + step / c)
            total *= c * d
        if abs(c * d - 1) < _CLOSE:
            break
    return total


def _not_zero(number: float) -> float:
    return number if abs(number) > _TINY else _TINY


# Common practice: the figures that the published tables use, and the halves and doubles between them.
STEPS: Final = (
    Period(days=1),
    Period(days=7),
    Period(months=1),
    Period(months=3),
    Period(months=6),
    Period(months=12),
    Period(months=18),
    Period(months=24),
    Period(months=36),
    Period(months=48),
    Period(months=60),
)


def longer_than(period: Period) -> Period | None:
    """The next longer step; None beyond the last."""
    return next((step for step in STEPS if step > period), None)


def shorter_than(period: Period) -> Period | None:
    """The next shorter step; None below the first."""
    return next((step for step in reversed(STEPS) if step < period), None)
