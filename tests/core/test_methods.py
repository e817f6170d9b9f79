"""How a check was measured is kept with its finding, read back the same, and told in words."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.judging.methods import (
    UNREADABLE,
    Method,
    Spread,
    current_caution,
    how_measured,
    kept_readings,
    likeness,
    method_in,
    method_text,
    method_words,
)
from appreg.core.judging.several_readings import parse_readings
from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, EquipmentType, ItemFacts
from appreg.core.records.checks import (
    Check,
    EarthCurrent,
    EarthEntry,
    Entries,
    InsulationEntry,
    LeakageEntry,
    LeakageMethod,
)
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.readings import Unit, parse_reading

GB = load_rule_book("gb")
KETTLE = ItemFacts(appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE)
THREE = replace(KETTLE, phases=3)
EARTH = parse_reading("0.05", Unit.OHM)
INSULATION = parse_reading(">299", Unit.MEGOHM)
LEAKAGE = parse_reading("0.2", Unit.MILLIAMP)

volts = st.none() | st.decimals("1", "999", places=1)
methods = st.builds(
    Method,
    leakage=st.none() | st.sampled_from(LeakageMethod),
    displayed=st.booleans(),
    symmetric=st.booleans(),
    applied_volts=volts,
    rated_volts=volts,
    test_volts=st.none() | st.sampled_from([250, 500]),
    test_current=st.none() | st.sampled_from(EarthCurrent),
    load_kva=volts,
    spread=st.none() | st.sampled_from(Spread),
    readings=st.lists(st.text(max_size=8), max_size=4).map(tuple),
)


@given(methods)
def test_a_kept_method_is_read_back_the_same(method: Method) -> None:
    assert method_in(method_text(method)) == method


@given(methods)
def test_likeness_leaves_the_readings_themselves_aside(method: Method) -> None:
    assert likeness(replace(method, readings=(), load_kva=None, rated_volts=None)) == likeness(method)


def leaking(entry: LeakageEntry | None = None) -> Entries:
    return Entries(leakage=entry or LeakageEntry(reading=LEAKAGE))


def words(check: Check, entries: Entries, facts: ItemFacts = KETTLE) -> str:
    return method_words(method_text(how_measured(check, facts, entries, GB)))


def several(check: Check, typed: str, entries: Entries) -> Entries:
    return replace(entries, several={check: parse_readings(typed, check)})


AT_250 = Entries(insulation=InsulationEntry(reading=INSULATION, volts=250))
LINKED = Entries(insulation=InsulationEntry(reading=INSULATION, volts=500, lines_linked=True))
OURS = LeakageEntry(
    reading=LEAKAGE, method=LeakageMethod.SUBSTITUTE, applied_volts=Decimal(50), rated_volts=Decimal(230)
)
BY_INSTRUMENT = replace(OURS, referred=True, two_pole_symmetric=True)


@pytest.mark.parametrize(
    ("check", "entries", "facts", "said"),
    [
        (Check.LEAKAGE, leaking(), KETTLE, "protective-conductor current"),
        (Check.LEAKAGE, leaking(), replace(KETTLE, appliance_class=ApplianceClass.CLASS_II), "touch current"),
        (Check.LEAKAGE, leaking(OURS), KETTLE, "substitute method, referred from 50 V to 230 V by calculation"),
        (
            Check.LEAKAGE,
            leaking(BY_INSTRUMENT),
            KETTLE,
            "substitute method, referred to rated voltage by the instrument, two-pole symmetric",
        ),
        (
            Check.LEAKAGE,
            several(Check.LEAKAGE, "0.2/0.3/0.2", leaking()),
            THREE,
            "protective-conductor current · each line",
        ),
        (Check.INSULATION, AT_250, KETTLE, "at 250 V d.c."),
        (Check.INSULATION, LINKED, THREE, "at 500 V d.c. · lines linked"),
        (Check.INSULATION, replace(AT_250, insulation=InsulationEntry(reading=INSULATION)), KETTLE, "at 500 V d.c."),
        (
            Check.EARTH_CONTINUITY,
            Entries(earth=EarthEntry(reading=EARTH, test_current=EarthCurrent.MA200)),
            KETTLE,
            "test current 200 mA",
        ),
        (Check.FUNCTIONAL, Entries(functional=True, load_kva=Decimal("0.06")), KETTLE, "load 0.06 kVA"),
        (Check.RCD_5X, several(Check.RCD_5X, "28/24", Entries()), KETTLE, "each half-wave"),
        (Check.VISUAL, Entries(visual=True), KETTLE, ""),
    ],
)
def test_the_method_is_told_in_words(check: Check, entries: Entries, facts: ItemFacts, said: str) -> None:
    assert words(check, entries, facts) == said


def test_an_unstated_voltage_is_not_told_where_500_v_is_unsuitable() -> None:
    entries = Entries(insulation=InsulationEntry(reading=INSULATION))
    assert words(Check.INSULATION, entries, replace(KETTLE, unsuitable_500v=True)) == ""


@pytest.mark.parametrize("text", ["{", "[]", '{"leakage":"guess"}', '{"load_kva":"x"}', '{"readings":1}'])
def test_a_damaged_method_is_said_to_be_unreadable(text: str) -> None:
    assert method_words(text) == UNREADABLE
    assert kept_readings(text, "28") == "28"


def test_all_readings_are_told_side_by_side() -> None:
    method = how_measured(Check.RCD_1X, KETTLE, several(Check.RCD_1X, "28/none", Entries()), GB)
    assert kept_readings(method_text(method), "none") == "28/none"


def test_25_a_on_electronics_is_cautioned_and_changes_no_verdict() -> None:
    # Not for IT equipment: Code of Practice 15.4, second-hand.
    computer = replace(KETTLE, equipment_type=EquipmentType.IT, rcd=None, rcd_rating_ma=None)
    assert current_caution(computer, EarthCurrent.A25)
    assert not current_caution(computer, EarthCurrent.MA200)
    assert not current_caution(KETTLE, EarthCurrent.A25)
    strong = Entries(earth=EarthEntry(reading=EARTH, test_current=EarthCurrent.A25))
    plain = Entries(earth=EarthEntry(reading=EARTH))
    assert judge(computer, strong, GB).findings == judge(computer, plain, GB).findings
    assert any("25 A may harm electronics" in each for each in judge(computer, strong, GB).advice)
