"""The dates on which the next inspections fall due."""

from datetime import date
from functools import cache, lru_cache
from typing import Final

from dateutil.relativedelta import relativedelta
from msgspec import Struct

from appreg.core.rules.interval_tables import Interval, IntervalAnswer
from appreg.core.values.periods import Period

_KEPT: Final = 20_000
"""Dates kept: plans ask for the same ones again and again, and each costs as much as a small search."""


class NextDates(Struct, frozen=True, kw_only=True):
    """When the next formal visual and the next combined inspection and test are due; None: none needed."""

    visual: date | None
    test: date | None


def next_dates(
    answer: IntervalAnswer,
    *,
    inspected: date,
    tested: date | None,
    longer: bool,
    test_max: Period | None = None,
    seen: date | None = None,
) -> NextDates:
    """The next dates after passed inspections on the days given.

    `inspected` is the day of the last passed inspection of either kind, `tested` of the last passed
    combined one; where a test is asked for and none has passed, it is due since the item was first
    `seen`, whatever was looked at since; None: on the day inspected.
    `test_max` is a statutory longest interval, which also asks for a test where the table needs none.
    """
    return NextDates(
        visual=_after(answer.visual, inspected, longer),
        test=_test_date(answer.test, seen or inspected, tested, longer, test_max),
    )


@lru_cache(maxsize=_KEPT)
def date_after(start: date, period: Period) -> date:
    """The day a period after another, clamped to the last valid day of the month, and to the calendar's last."""
    try:
        return start + _delta(period)
    except (OverflowError, ValueError):  # beyond the year 9999
        return date.max


def _test_date(
    interval: Interval | None, seen: date, tested: date | None, longer: bool, test_max: Period | None
) -> date | None:
    periods = [p for p in (interval.chosen(longer) if interval else None, test_max) if p is not None]
    if not periods:
        return None
    if tested is None:
        return seen
    return min(date_after(tested, period) for period in periods)


def _after(interval: Interval | None, start: date, longer: bool) -> date | None:
    period = interval.chosen(longer) if interval else None
    return None if period is None else date_after(start, period)


@cache
def _delta(period: Period) -> relativedelta:
    return relativedelta(months=period.months, days=period.days)
