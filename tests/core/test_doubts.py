"""More digits than a display has: the digit comes from somewhere else (common practice)."""

from decimal import Decimal as D

import pytest
from msgspec.structs import replace

from appreg.core.judging.instrument_accuracy import parse_accuracy
from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, Cord, EquipmentType, ItemFacts
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.readings import Unit, parse_reading

ITEM = ItemFacts(appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE)
STATED = parse_accuracy(
    "earth-continuity to 1.99: 2 % + 5 × 0.01; earth-continuity: 3 % + 2 × 0.1; rcd-1x: 5 % + 2 × 1"
)
FINE = "instrument shows steps of"


@pytest.mark.parametrize(
    ("typed", "doubted"),
    [
        ("0.105", True),
        ("0.11", False),
        ("0.1", False),
        ("105 mΩ", True),
        ("110 mΩ", False),
        ("2.45", True),
        ("2.4", False),
        ("OL", False),
        ("<0.01", False),
    ],
)
def test_a_reading_finer_than_the_display_is_doubted_and_nothing_else_changes(typed: str, *, doubted: bool) -> None:
    entries = Entries(earth=EarthEntry(reading=parse_reading(typed, Unit.OHM)))
    judged = judge(ITEM, entries, load_rule_book("gb"), stated=STATED)
    plain = judge(ITEM, entries, load_rule_book("gb"))
    assert any(FINE in each.words for each in judged.doubts) is doubted
    assert not any(FINE in each.words for each in plain.doubts)
    assert (judged.outcome, judged.findings) == (plain.outcome, plain.findings)


def test_over_range_is_doubted_for_no_digit_of_the_top_that_stands_in_its_place() -> None:
    stated = parse_accuracy("insulation to 199.95: 3 % + 2 × 0.1")
    entries = Entries(insulation=InsulationEntry(reading=parse_reading("OL", Unit.MEGOHM)))
    assert judge(ITEM, entries, load_rule_book("gb"), stated=stated).doubts == ()


def test_the_time_of_a_trip_is_doubted_likewise() -> None:
    trips = replace(Entries(), rcd_trips={Check.RCD_1X: parse_reading("18.5", Unit.MILLISECOND)})
    assert any(
        "rcd-1x, 18.5 ms" in each.words for each in judge(ITEM, trips, load_rule_book("gb"), stated=STATED).doubts
    )


@pytest.mark.parametrize(
    ("typed", "doubted"),
    # 19.5 mΩ/m × 10 m = 0.195 Ω (IEC 60228).
    [("<0.1", True), ("<0.19", True), ("<0.2", False), ("<0.3", False), (">0.1", False), ("0.05", True)],
)
def test_an_earth_reading_below_what_the_cord_has_is_doubted_with_its_sign(typed: str, *, doubted: bool) -> None:
    facts = replace(ITEM, cord=Cord(csa_mm2=D(1), length_m=D(10)))
    entries = Entries(earth=EarthEntry(reading=parse_reading(typed, Unit.OHM)))
    words = [each.words for each in judge(facts, entries, load_rule_book("gb")).doubts]
    assert len(words) == doubted
    assert all(f"reading of {typed} Ω: less than the cord itself has, 0.195 Ω" in each for each in words)
