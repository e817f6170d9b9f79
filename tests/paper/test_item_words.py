from datetime import date
from decimal import Decimal as D

import pytest
from msgspec.structs import replace

from appreg.core.records.checks import Check
from appreg.paper.documents.item_words import (
    CHECK_WORDS,
    calibration_words,
    cord_words,
    doubt_words,
    failing_words,
    limit_words,
    open_words,
    plain,
    reading_words,
)
from tests.paper.paper_samples import EARTH, INSTRUMENT, INSULATION, KETTLE, LEAD, LOOKED, NOT_DONE, TOASTER, UNCLEAR


def test_every_check_has_words_of_its_own() -> None:
    assert set(CHECK_WORDS) == set(Check)
    assert len(set(CHECK_WORDS.values())) == len(Check)


@pytest.mark.parametrize(
    ("number", "text"),
    [("1", "1"), ("1.00", "1"), ("0.80", "0.8"), ("100", "100"), ("1E+2", "100"), ("0.1208", "0.1208")],
)
def test_a_figure_is_written_without_exponent_or_idle_zeros(number: str, text: str) -> None:
    assert plain(D(number)) == text


def test_a_limit_is_written_with_its_sense_and_unit() -> None:
    assert limit_words(EARTH) == "≤ 0.1208 Ω"
    assert limit_words(INSULATION) == "≥ 1 MΩ"
    assert limit_words(UNCLEAR) == "0 to 300 ms"
    assert limit_words(LOOKED) == ""
    assert limit_words(replace(EARTH, comparison="<")) == "< 0.1208 Ω"


@pytest.mark.parametrize(
    ("typed", "words"),
    [("0.08", "0.08 Ω"), ("<0.05", "<0.05 Ω"), ("85 mΩ", "85 mΩ"), ("OL", "OL"), ("0.08Ω", "0.08Ω"), ("", "–")],
)
def test_a_reading_keeps_its_own_unit_and_gets_the_checks_where_it_has_none(typed: str, words: str) -> None:
    assert reading_words(replace(EARTH, reading=typed)) == words


def test_reasons_name_reading_limit_and_remark() -> None:
    assert failing_words(TOASTER) == "earth continuity 0.35 Ω, limit ≤ 0.1208 Ω (screw in the plug loose)"
    assert failing_words(KETTLE) == ""
    assert open_words(LEAD) == (
        "not done: functional check; neither pass nor fail: RCD at 1 × IΔn 28 ms, limit 0 to 300 ms"
    )
    assert reading_words(NOT_DONE) == "–"


@pytest.mark.parametrize(
    ("due", "words"),
    [
        (date(2026, 11, 23), "calibration LAPSED on 23 Nov 2026"),
        (date(2026, 11, 24), "calibration due 24 Nov 2026"),
        (None, "calibration date not recorded"),
    ],
)
def test_a_calibration_lapses_after_its_day(due: date | None, words: str) -> None:
    assert calibration_words(replace(INSTRUMENT, calibration_due=due), date(2026, 11, 24)) == words


def test_a_plate_names_what_is_known() -> None:
    thing = KETTLE.appliance
    assert cord_words(thing) == "cord 0.75 mm² × 0.8 m · 2.2 kW"
    assert cord_words(replace(thing, cord_length_m=None, power_w=60, fuse_a=D("3.0"))) == "fuse 3 A · 60 W"


@pytest.mark.parametrize(
    ("uncertainty", "zone", "words"),
    [
        (None, "", ""),
        (D("0.026"), "pass", "U 0.026 Ω (k = 2)"),
        (D("0.0260"), "conditional pass", "close to the limit: U 0.026 Ω (k = 2)"),
        (D("0.123456"), "conditional fail", "close to the limit: U 0.1235 Ω (k = 2)"),
        (D("0.02"), "fail", "U 0.02 Ω (k = 2)"),
    ],
)
def test_the_doubt_of_a_reading_is_told_where_the_instrument_states_it(
    uncertainty: D | None, zone: str, words: str
) -> None:
    assert doubt_words(replace(EARTH, uncertainty=uncertainty, zone=zone)) == words
