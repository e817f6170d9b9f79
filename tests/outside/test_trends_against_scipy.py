"""The Theil–Sen line against scipy.stats.theilslopes."""

import math
from datetime import date, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import theilslopes

from appreg.core.judging.trends import DAYS_A_YEAR, meets_limit_on, trend_of

START = date(2020, 1, 1)
readings = st.lists(
    st.tuples(st.integers(0, 3000), st.floats(0.01, 500, allow_nan=False)),
    min_size=4,
    max_size=12,
    unique_by=lambda p: p[0],
)


@given(points=readings, logarithmic=st.booleans())
def test_slope_and_level_agree_with_scipy(points: list[tuple[int, float]], logarithmic: bool) -> None:
    trend = trend_of([(START + timedelta(days=x), y) for x, y in points], logarithmic=logarithmic)
    assert trend is not None
    ys = [math.log10(y) if logarithmic else y for _, y in points]
    slope, intercept, _, _ = theilslopes(ys, [x for x, _ in points])
    assert trend.slope_a_year == pytest.approx(slope * DAYS_A_YEAR, rel=1e-6, abs=1e-9)
    level = intercept + slope * max(x for x, _ in points)
    assert (math.log10(trend.level) if logarithmic else trend.level) == pytest.approx(level, rel=1e-6, abs=1e-6)


def test_three_readings_are_too_few() -> None:
    assert trend_of([(START + timedelta(days=i), 0.1) for i in range(3)]) is None


def test_readings_of_one_day_show_no_trend() -> None:
    assert trend_of([(START, 0.1), (START, 0.2), (START, 0.1), (START, 0.2)]) is None


def test_a_rise_of_a_tenth_a_year_meets_a_limit_two_tenths_up_in_two_years() -> None:
    days = [round(i * DAYS_A_YEAR) for i in range(4)]
    trend = trend_of([(START + timedelta(days=d), 0.1 * d / DAYS_A_YEAR) for d in days])
    assert trend is not None
    meeting = meets_limit_on(trend, 0.5)
    assert meeting is not None
    assert abs((meeting - (START + timedelta(days=round(5 * DAYS_A_YEAR)))).days) <= 1


def test_insulation_that_falls_a_decade_a_year_is_followed_on_a_log_scale() -> None:
    trend = trend_of([(START + timedelta(days=365 * i), 1000 / 10**i) for i in range(4)], logarithmic=True)
    assert trend is not None
    meeting = meets_limit_on(trend, 0.1)
    assert meeting is not None
    assert abs((meeting - (START + timedelta(days=365 * 4))).days) <= 1


@given(points=readings)
def test_a_line_that_leads_away_from_the_limit_never_meets_it(points: list[tuple[int, float]]) -> None:
    trend = trend_of([(START + timedelta(days=x), y) for x, y in points])
    assert trend is not None
    assume(trend.slope_a_year < 0)
    assert meets_limit_on(trend, trend.level + 1) is None


@pytest.mark.parametrize("logarithmic", [False, True])
def test_a_line_that_stands_at_its_limit_meets_it_on_the_last_day(logarithmic: bool) -> None:
    points = [(START + timedelta(days=365 * i), float(2 + i)) for i in range(4)]
    trend = trend_of(points, logarithmic=logarithmic)
    assert trend is not None
    assert meets_limit_on(trend, trend.level) == points[-1][0]
