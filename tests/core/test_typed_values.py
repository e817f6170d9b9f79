"""What is typed into number and date fields is read exactly, or refused with the reason."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.typed_values import date_typed, decimal_typed, power_typed, whole_typed
from appreg.errors import InputRefused

TODAY = date(2026, 11, 24)


@pytest.mark.parametrize(
    ("typed", "number"),
    [("0.75", "0.75"), (" 1.5 ", "1.5"), (".5", "0.5"), ("13 A", "13"), ("0,08", "0.08"), ("1,5", "1.5")],
)
def test_a_number_is_read_exactly_with_or_without_its_unit(typed: str, number: str) -> None:
    assert decimal_typed(typed, field="Fuse", units=("A",)) == Decimal(number)


@pytest.mark.parametrize("typed", ["1,500", "1,5,0", "-1", "x", "1e3", "٣", "NaN", "=1+1", "1.5.2", "\x1b"])
def test_what_is_not_a_plain_number_is_refused_by_name(typed: str) -> None:
    with pytest.raises(InputRefused, match=r"^Fuse: "):
        decimal_typed(typed, field="Fuse")


def test_nothing_typed_is_no_number_and_no_date() -> None:
    assert decimal_typed("  ", field="Fuse") is None
    assert whole_typed("", field="Fuse") is None
    assert power_typed("", field="Power") is None
    assert date_typed("", field="Date", today=TODAY) is None


@pytest.mark.parametrize(("typed", "watts"), [("2200", 2200), ("2.2 kW", 2200), ("60 W", 60), ("0.06kw", 60)])
def test_power_is_kept_in_whole_watts(typed: str, watts: int) -> None:
    assert power_typed(typed, field="Power") == watts


@pytest.mark.parametrize("typed", ["2.2", "kW", "0.0001 kW", "2 MW"])
def test_a_power_that_is_no_whole_number_of_watts_is_refused(typed: str) -> None:
    with pytest.raises(InputRefused, match=r"^Power: "):
        power_typed(typed, field="Power")


@given(st.dates(min_value=date(1000, 1, 1)))
def test_a_date_written_in_words_or_in_figures_reads_back(day: date) -> None:
    assert date_typed(date_words(day), field="Date", today=TODAY) == day
    assert date_typed(day.isoformat(), field="Date", today=TODAY) == day


@pytest.mark.parametrize(
    "typed",
    [
        *("24.11.2026", "24. 11. 2026", "24/11/2026", "24-11-2026", "2026/11/24", "24 nov 2026", "24. Nov. 2026"),
        *("24 November 2026", "24NOV2026", "Nov 24, 2026", " november 24 2026 "),
    ],
)
def test_a_date_that_can_be_read_in_one_way_only_is_read(typed: str) -> None:
    assert date_typed(typed, field="Date", today=date(2020, 1, 1)) == TODAY
    assert date_typed("6/6/2026", field="Date", today=TODAY) == date(2026, 6, 6)


def test_today_is_a_date() -> None:
    assert date_typed("Today", field="Date", today=TODAY) == TODAY


@pytest.mark.parametrize(
    "typed",
    [
        "11/24/2026",
        "31.02.2026",
        "2026-02-30",
        "31 Foo 2026",
        "0 Jan 2026",
        "20261124",
        "2026-W01-1",
        "24 Ma 2026",
        "24.11.26",
    ],
)
def test_a_date_that_is_doubtful_or_does_not_exist_is_refused(typed: str) -> None:
    with pytest.raises(InputRefused, match=r"^Calibration due: .* is not a date"):
        date_typed(typed, field="Calibration due", today=TODAY)


def test_a_date_that_may_be_two_days_is_asked_for_by_naming_both() -> None:
    with pytest.raises(InputRefused, match=r"^Date: “05/06/2026” may be 05 Jun 2026 or 06 May 2026; write it as in"):
        date_typed("05/06/2026", field="Date", today=TODAY)
