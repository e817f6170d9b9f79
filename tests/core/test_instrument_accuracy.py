from decimal import Decimal as D

import pytest

from appreg.core.judging.instrument_accuracy import InstrumentAccuracy, parse_accuracy
from appreg.core.records.checks import Check
from appreg.errors import InputRefused

LINE = "earth-continuity to 1.99: 2 % + 5 × 0.01; earth-continuity to 19.9: 3 % + 5 x 0.1; insulation: 30 %"


def test_the_smallest_range_that_holds_the_reading_counts() -> None:
    stated = parse_accuracy(LINE)
    low = stated.of(Check.EARTH_CONTINUITY, D("0.12"))
    high = stated.of(Check.EARTH_CONTINUITY, D("2.00"))
    assert low is not None
    assert high is not None
    assert low.expanded(D("0.12")) == D("0.0524")
    assert high.expanded(D("2.00")) == D("0.56")


def test_a_reading_beyond_every_range_has_no_stated_accuracy() -> None:
    assert parse_accuracy(LINE).of(Check.EARTH_CONTINUITY, D(20)) is None


def test_a_check_that_is_not_stated_has_no_accuracy() -> None:
    assert parse_accuracy(LINE).of(Check.LEAKAGE, D(1)) is None


def test_an_empty_line_states_nothing() -> None:
    assert parse_accuracy("  ") == InstrumentAccuracy()


@pytest.mark.parametrize(
    "text",
    [
        "earth 2 %",
        "insulation: 30",
        "insulation: -3 %",
        "insulation to x: 3 %",
        "insulation: 3 % + 5",
        "insulation: " + "9" * 5000 + " %",
        "insulation: 3 % + " + "9" * 5000 + " × 0.1",
    ],
)
def test_what_is_not_understood_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(InputRefused, match="write it like"):
        parse_accuracy(text)


def test_an_unknown_check_is_refused_with_the_known_ones() -> None:
    with pytest.raises(InputRefused, match=r"'earth' is not a check; use one of visual, earth-continuity"):
        parse_accuracy("earth: 30 %")
