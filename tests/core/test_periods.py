"""Periods are read, written and ordered as ISO 8601 and the calendar say."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.periods import Period, parse_period
from appreg.errors import InputRefused


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("P3M", "P3M"),
        ("P12M", "P1Y"),
        ("P1Y", "P1Y"),
        ("P24M", "P2Y"),
        ("P18M", "P18M"),
        ("P1Y6M", "P18M"),
        ("P1W", "P7D"),
        ("P7D", "P7D"),
        (" P1D ", "P1D"),
        ("P1M10D", "P1M10D"),
    ],
)
def test_a_period_is_written_in_one_form(text: str, written: str) -> None:
    assert str(parse_period(text)) == written


@given(st.integers(0, 600), st.integers(0, 2000))
def test_reading_what_was_written_gives_the_same_period(months: int, days: int) -> None:
    if months or days:
        period = Period(months=months, days=days)
        assert parse_period(str(period)) == period


@pytest.mark.parametrize(
    "text", ["", "P", "3M", "PT1H", "P-1M", "P1.5Y", "p3m", "P3M P1D", "P0D", "P0M", "one year", "P1Y1Y"]
)
def test_what_is_no_period_is_refused_with_the_text(text: str) -> None:
    with pytest.raises(InputRefused, match=r"interval"):
        parse_period(text)


@pytest.mark.parametrize(
    ("text", "words", "short"),
    [
        ("P1Y", "1 year", "1 y"),
        ("P2Y", "2 years", "2 y"),
        ("P1M", "1 month", "1 m"),
        ("P18M", "18 months", "18 m"),
        ("P7D", "1 week", "1 w"),
        ("P1D", "1 day", "1 d"),
        ("P10D", "10 days", "10 d"),
        ("P1M7D", "1 month and 1 week", "1 m 1 w"),
    ],
)
def test_a_period_is_told_in_words(text: str, words: str, short: str) -> None:
    period = parse_period(text)
    assert (period.words, period.short) == (words, short)


def test_periods_are_ordered_by_their_length() -> None:
    texts = ["P1D", "P7D", "P30D", "P1M", "P31D", "P3M", "P6M", "P1Y", "P18M", "P2Y", "P5Y"]
    assert [str(period) for period in sorted(parse_period(text) for text in reversed(texts))] == texts
