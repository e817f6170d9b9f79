"""Of readings side by side the worst decides, whatever their order, and another beside them never helps."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.judging.several_readings import parse_readings, with_reading
from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, EquipmentType, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import Outcome
from appreg.errors import InputRefused

GB = load_rule_book("gb")
LEAD = ItemFacts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.PORTABLE,
    rcd=RcdKind.GENERAL,
    rcd_rating_ma=Decimal(30),
)
TEXTS = {
    Check.EARTH_CONTINUITY: ("0.05", "<0.05", ">0.05", "0.11", "0.3", "OL"),
    Check.INSULATION: (">299", "0.4", ">0.5", "<0.9", "19.99", "OL"),
    Check.RCD_1X: ("28", "24", "310", ">250", "<40", "none"),
}
ORDER = (Outcome.FAIL, Outcome.INCOMPLETE, Outcome.PASS)

checks = st.sampled_from(list(TEXTS))


def entered(check: Check, texts: list[str]) -> Entries:
    """A complete set with these readings of one check side by side."""
    entries = Entries(visual=True, functional=True, rcd_button=True)
    for each, text in ((Check.EARTH_CONTINUITY, "0.05"), (Check.INSULATION, ">299"), (Check.RCD_1X, "28")):
        typed = "/".join(texts) if each is check else text
        readings = parse_readings(typed, each)
        if each is Check.EARTH_CONTINUITY and readings[0]:
            entries = replace(entries, earth=EarthEntry(reading=readings[0]))
        elif each is Check.INSULATION and readings[0]:
            entries = replace(entries, insulation=InsulationEntry(reading=readings[0], volts=500))
        else:
            entries = with_reading(entries, each, readings[0])
        entries = replace(entries, several={**entries.several, each: readings})
    return entries


def outcome(check: Check, texts: list[str]) -> Outcome:
    return judge(LEAD, entered(check, texts), GB).outcome


@given(checks, st.data())
def test_the_outcome_is_that_of_the_worst_alone_in_any_order(check: Check, data: st.DataObject) -> None:
    texts = data.draw(st.lists(st.sampled_from(TEXTS[check]), min_size=1, max_size=4))
    alone = min((outcome(check, [text]) for text in texts), key=ORDER.index)
    assert outcome(check, texts) is alone
    assert outcome(check, texts[::-1]) is alone


@given(checks, st.data())
def test_another_reading_beside_never_improves_the_outcome(check: Check, data: st.DataObject) -> None:
    texts = data.draw(st.lists(st.sampled_from(TEXTS[check]), min_size=1, max_size=3))
    more = [*texts, data.draw(st.sampled_from(TEXTS[check]))]
    assert ORDER.index(outcome(check, more)) <= ORDER.index(outcome(check, texts))


@given(checks, st.data())
def test_without_the_readings_of_a_check_nothing_passes(check: Check, data: st.DataObject) -> None:
    entries = entered(check, data.draw(st.lists(st.sampled_from(TEXTS[check]), min_size=1, max_size=3)))
    without = {
        Check.EARTH_CONTINUITY: replace(entries, earth=None),
        Check.INSULATION: replace(entries, insulation=None),
        Check.RCD_1X: replace(entries, rcd_trips={}),
    }[check]
    assert judge(LEAD, replace(without, several={}), GB).outcome is not Outcome.PASS


def test_the_finding_keeps_every_reading_as_typed_and_the_worst_as_its_own() -> None:
    finding = next(
        f for f in judge(LEAD, entered(Check.RCD_1X, ["28", "none"]), GB).findings if f.check is Check.RCD_1X
    )
    assert (finding.reading, finding.readings) == ("none", ("28", "none"))


@pytest.mark.parametrize(
    ("text", "check", "typed"),
    [
        ("28 / 24", Check.RCD_1X, ("28", "24")),
        ("28/no trip", Check.RCD_1X, ("28", "none")),
        ("O/L/299 MΩ/o/l", Check.INSULATION, ("O/L", "299 MΩ", "o/l")),
        ("0.5 mW/cm²/1 W/m2", Check.MICROWAVE, ("0.5 mW/cm²", "1 W/m2")),
        ("0,08/0,11", Check.EARTH_CONTINUITY, ("0,08", "0,11")),
    ],
)
def test_a_stroke_parts_readings_but_not_a_unit_nor_over_range(text: str, check: Check, typed: tuple[str, ...]) -> None:
    readings = parse_readings(text, check)
    shown = Entries(several={check: readings}).readings_shown(check)
    assert shown == typed


@pytest.mark.parametrize("text", ["28/", "/28", "28//24", "28/x"])
def test_a_reading_that_is_missing_beside_another_is_refused(text: str) -> None:
    with pytest.raises(InputRefused):
        parse_readings(text, Check.RCD_1X)


def test_a_reading_takes_the_place_of_another_and_is_found_again() -> None:
    for check, texts in TEXTS.items():
        (reading,) = parse_readings(texts[0], check)
        assert with_reading(entered(check, [texts[1]]), check, reading).reading(check) == reading
