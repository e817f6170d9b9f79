"""How far a reading can be trusted beside its limit: expanded uncertainty, zones, conformance probability.

Decision rules after ILAC-G8:09/2019 and JCGM 106:2012. A quoted accuracy is taken as an expanded uncertainty with
k = 2, the way an operating uncertainty by EN 61557-1 is stated (memory).
"""

import math
from decimal import Decimal
from enum import StrEnum
from typing import Final

from msgspec import Struct

COVERAGE_FACTOR: Final = 2
"""k of every expanded uncertainty here."""
_PERCENT: Final = Decimal(100)


class Zone(StrEnum):
    """Where a reading stands to its limit; the four outcomes of a guarded decision rule."""

    PASS = "pass"
    CONDITIONAL_PASS = "conditional pass"
    CONDITIONAL_FAIL = "conditional fail"
    FAIL = "fail"

    @property
    def is_close(self) -> bool:
        """The limit lies within the expanded uncertainty of the reading."""
        return self in {Zone.CONDITIONAL_PASS, Zone.CONDITIONAL_FAIL}


class Accuracy(Struct, frozen=True, kw_only=True):
    """±(a % of reading + b digits × resolution), as instruments quote it (common practice)."""

    percent: Decimal
    """a: per cent of the reading."""
    digits: int = 0
    """b: counts of the last digit."""
    resolution: Decimal = Decimal(0)
    """The last digit, in the unit of the reading."""

    def expanded(self, value: Decimal) -> Decimal:
        """Expanded uncertainty U of a reading, in its unit."""
        return self.fraction * abs(value) + self.offset

    @property
    def fraction(self) -> Decimal:
        """The part of U that grows with the reading, as a fraction of it."""
        return self.percent / _PERCENT

    @property
    def offset(self) -> Decimal:
        """The part of U that does not depend on the reading, in its unit."""
        return self.digits * self.resolution


def zone_of(value: Decimal, expanded: Decimal, *, low: Decimal | None, high: Decimal | None) -> Zone:
    """Tell in which zone a reading stands, the guard band being its expanded uncertainty."""
    margin = distance_inside(value, low=low, high=high)
    if margin is None or margin >= expanded:
        return Zone.PASS
    if margin >= 0:
        return Zone.CONDITIONAL_PASS
    return Zone.CONDITIONAL_FAIL if -margin <= expanded else Zone.FAIL


def distance_inside(value: Decimal, *, low: Decimal | None, high: Decimal | None) -> Decimal | None:
    """Distance of a reading from the nearest limit, positive inside; None where there is no limit."""
    distances = [] if low is None else [value - low]
    if high is not None:
        distances.append(high - value)
    return min(distances, default=None)


def accepts_guarded(value: Decimal, expanded: Decimal, *, low: Decimal | None, high: Decimal | None) -> bool:
    """Tell whether a reading clears its limit by its expanded uncertainty."""
    return zone_of(value, expanded, low=low, high=high) is Zone.PASS


def conformance_probability(
    value: Decimal | float, expanded: Decimal | float, *, low: Decimal | None, high: Decimal | None
) -> float:
    """Probability that the true value lies within the limits, normal with u = U / 2 (JCGM 106:2012, 7.2)."""
    u = float(expanded) / COVERAGE_FACTOR
    below = 0.0 if low is None else _phi(float(low) - float(value), u)
    above = 1.0 if high is None else _phi(float(high) - float(value), u)
    return max(0.0, above - below)


def _phi(distance: float, u: float) -> float:
    if u == 0:
        return 1.0 if distance >= 0 else 0.0
    return 0.5 * math.erfc(-distance / (u * math.sqrt(2)))
