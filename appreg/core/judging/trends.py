"""A robust trend through earlier readings: the Theil–Sen slope, and when it would meet the limit.

Sen, P. K. (1968), Estimates of the regression coefficient based on Kendall's tau. Nothing here changes a verdict.
"""

import math
from datetime import date, timedelta
from statistics import median
from typing import Final

from msgspec import Struct

FEWEST_READINGS: Final = 4
"""Below this many readings a trend says nothing (common practice)."""
DAYS_A_YEAR: Final = 365.25
FARTHEST_YEARS: Final = 50
"""A crossing farther off than this is not worth a date."""


class Trend(Struct, frozen=True, kw_only=True):
    """A straight line through readings over time, on a plain or a logarithmic scale."""

    slope_a_year: float
    """Unit a year; on a logarithmic scale decades a year."""
    level: float
    """The line's value on the last day of reading, in the unit of the readings."""
    last_day: date
    logarithmic: bool


def trend_of(readings: list[tuple[date, float]], *, logarithmic: bool = False) -> Trend | None:
    """Fit the Theil–Sen line; None with fewer than four readings, on one day only, or below zero on a log scale."""
    if len(readings) < FEWEST_READINGS or (logarithmic and any(value <= 0 for _, value in readings)):
        return None
    first_day = min(day for day, _ in readings)
    points = [((day - first_day).days, math.log10(value) if logarithmic else value) for day, value in readings]
    slopes = [(y2 - y1) / (x2 - x1) for i, (x1, y1) in enumerate(points) for x2, y2 in points[i + 1 :] if x1 != x2]
    if not slopes:
        return None
    slope = median(slopes)
    intercept = median(y for _, y in points) - slope * median(x for x, _ in points)
    last = max(day for day, _ in readings)
    level = intercept + slope * (last - first_day).days
    return Trend(
        slope_a_year=slope * DAYS_A_YEAR,
        level=10**level if logarithmic else level,
        last_day=last,
        logarithmic=logarithmic,
    )


def meets_limit_on(trend: Trend, limit: float) -> date | None:
    """The day on which the line would meet the limit; None where it never does or in more than fifty years."""
    if trend.logarithmic and limit <= 0:
        return None
    distance = (math.log10(limit) - math.log10(trend.level)) if trend.logarithmic else limit - trend.level
    if trend.slope_a_year == 0:
        return None
    years = distance / trend.slope_a_year
    if not 0 <= years <= FARTHEST_YEARS:
        return None
    return trend.last_day + timedelta(days=math.floor(years * DAYS_A_YEAR))
