"""Month arithmetic against published cases and against dateutil used directly."""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.rules.interval_table_loading import load_interval_tables
from appreg.core.rules.interval_tables import IntervalAnswer, IntervalRow
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS
from appreg.core.values.periods import Period, parse_period
from appreg.schedule.due_dates import date_after, next_dates

DAYS = st.dates(date(1990, 1, 1), date(2090, 12, 31))
ROWS = [row for book in RULE_BOOK_IDS for table in load_interval_tables(book).values() for row in table.rows]


@pytest.mark.parametrize(
    ("start", "period", "expected"),
    [
        # Month arithmetic clamps to the last valid day (documentation of common date libraries, published).
        ("2016-02-29", "P1Y", "2017-02-28"),
        ("2012-01-31", "P1M", "2012-02-29"),
        ("2024-01-31", "P1M", "2024-02-29"),
        ("2024-02-29", "P12M", "2025-02-28"),
        ("2013-10-31", "P4M", "2014-02-28"),
        # From the calendar itself: century years leap only when 400 divides them.
        ("2000-02-29", "P100Y", "2100-02-28"),
        ("2026-12-28", "P7D", "2027-01-04"),
    ],
)
def test_a_month_later_is_the_same_day_or_the_last_of_the_month(start: str, period: str, expected: str) -> None:
    assert date_after(date.fromisoformat(start), parse_period(period)) == date.fromisoformat(expected)


@given(DAYS, st.integers(0, 240), st.integers(0, 400))
def test_due_dates_agree_with_dateutil(start: date, months: int, days: int) -> None:
    if months or days:
        expected = start + relativedelta(months=+months) + timedelta(days=days)
        assert date_after(start, Period(months=months, days=days)) == expected


@given(DAYS, st.integers(1, 240), st.integers(1, 240))
def test_a_shorter_interval_never_gives_a_later_date(start: date, one: int, other: int) -> None:
    short, long = sorted((one, other))
    assert date_after(start, Period(months=short)) <= date_after(start, Period(months=long))
    assert date_after(start, Period(days=short)) <= date_after(start, Period(days=long))


@given(DAYS, st.integers(0, 800), st.sampled_from(ROWS))
def test_no_row_gives_a_date_before_its_inspection_nor_the_longer_end_before_the_shorter(
    inspected: date, ago: int, row: IntervalRow
) -> None:
    tested = inspected - timedelta(days=ago)
    answer = IntervalAnswer(
        user_check=row.user_check,
        visual=row.visual,
        test=row.test,
        title=row.title,
        note="",
        citation=row.citation,
    )
    short = next_dates(answer, inspected=inspected, tested=tested, longer=False)
    long = next_dates(answer, inspected=inspected, tested=tested, longer=True)
    for start, soon, late in ((inspected, short.visual, long.visual), (tested, short.test, long.test)):
        assert (soon is None) == (late is None)
        if soon and late:
            assert start < soon <= late
