"""An assumed fact never makes a limit laxer; a pass that rests on one is no pass."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.judging.instrument_accuracy import parse_accuracy
from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, Connection, Cord, EquipmentType, Fact, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_rule_book
from appreg.core.rules.second_lines import INSULATIONS
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading

GB, EU, ANZ = (load_rule_book(book_id) for book_id in RULE_BOOK_IDS)
BOOKS = st.sampled_from((GB, EU, ANZ))
CORD = (Fact.CORD_SIZE, Fact.CORD_LENGTH)
PUMP = ItemFacts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.MOVABLE,
    cord=Cord(csa_mm2=D("1.0"), length_m=D(10)),
    power_kw=D("0.5"),
)
LAMP = ItemFacts(appliance_class=ApplianceClass.CLASS_II, equipment_type=EquipmentType.PORTABLE)
KILN = replace(PUMP, equipment_type=EquipmentType.FIXED, heating=True, power_kw=D(6), connection=Connection.HARD_WIRED)


def ohms(typed: str) -> EarthEntry:
    return EarthEntry(reading=parse_reading(typed, Unit.OHM))


def megohms(typed: str) -> InsulationEntry:
    return InsulationEntry(reading=parse_reading(typed, Unit.MEGOHM), volts=500)


def milliamps(typed: str, method: LeakageMethod | None = None) -> LeakageEntry:
    return LeakageEntry(reading=parse_reading(typed, Unit.MILLIAMP), method=method)


SOUND = Entries(visual=True, earth=ohms("0.05"), insulation=megohms(">299"), functional=True)


def of(check: Check, facts: ItemFacts, entries: Entries, book: RuleBook = GB) -> Finding:
    return next(each for each in judge(facts, entries, book).findings if each.check is check)


def test_an_earth_reading_that_only_the_assumed_cord_allows_is_no_pass() -> None:
    # 0.1 + 19.5 mΩ/m × 10 m = 0.295 Ω; with 3 m it would be 0.1585 Ω (CoP 15.4, IEC 60228).
    entries = replace(SOUND, earth=ohms("0.28"))
    assert judge(PUMP, entries, GB).outcome is Outcome.PASS
    judgement = judge(replace(PUMP, assumed=CORD), entries, GB)
    assert judgement.outcome is Outcome.INCOMPLETE
    assert judgement.unconfirmed == CORD
    finding = of(Check.EARTH_CONTINUITY, replace(PUMP, assumed=CORD), entries)
    assert (finding.result, finding.limit_high) == (CheckResult.INCONCLUSIVE, D("0.1"))
    assert "passes only if the cord is 1 mm² × 10 m: confirm or change" in finding.arithmetic


def test_an_earth_reading_that_any_cord_allows_passes_though_the_cord_is_assumed() -> None:
    finding = of(Check.EARTH_CONTINUITY, replace(PUMP, assumed=CORD), replace(SOUND, earth=ohms("0.09")))
    assert (finding.result, finding.limit_high) == (CheckResult.PASS, D("0.1"))


def test_an_earth_reading_above_what_the_assumed_cord_allows_fails() -> None:
    assert judge(replace(PUMP, assumed=CORD), replace(SOUND, earth=ohms("0.3")), GB).outcome is Outcome.FAIL


@pytest.mark.parametrize(
    ("assumed", "limit"),
    [
        # EN 50699: 0.3 Ω up to 1.5 mm² and 5 m; above it 0.1 Ω and the conductor, 1.21 mΩ/m at 16 mm² (IEC 60228).
        (CORD, "0.1"),
        ((Fact.CORD_SIZE,), "0.10605"),
        ((Fact.CORD_LENGTH,), "0.3"),
        ((), "0.3"),
    ],
)
def test_in_eu_an_assumed_cord_size_is_granted_no_step_that_a_larger_cord_would_not_have(
    assumed: tuple[Fact, ...], limit: str
) -> None:
    kettle = replace(PUMP, cord=Cord(csa_mm2=D("1.0"), length_m=D(5)), assumed=assumed)
    entries = replace(SOUND, earth=ohms("0.25"))
    finding = of(Check.EARTH_CONTINUITY, kettle, entries, EU)
    assert finding.limit_high == D(limit)
    doubted = Fact.CORD_SIZE in assumed
    assert finding.result is (CheckResult.INCONCLUSIVE if doubted else CheckResult.PASS)
    assert ("passes only if the cord is 1 mm² × 5 m: confirm or change" in finding.arithmetic) == doubted


def test_an_assumed_second_class_still_needs_the_earth_check_of_the_first() -> None:
    entries = replace(SOUND, earth=None)
    assert judge(LAMP, entries, GB).outcome is Outcome.PASS
    judgement = judge(replace(LAMP, assumed=(Fact.CLASS,)), entries, GB)
    assert (judgement.outcome, judgement.missing) == (Outcome.INCOMPLETE, (Check.EARTH_CONTINUITY,))
    assert "needed unless it is Class II: confirm or change" in judgement.findings[1].arithmetic


def test_a_good_earth_reading_measures_the_first_class() -> None:
    assumed = replace(PUMP, cord=None, assumed=(Fact.CLASS,))
    entries = replace(SOUND, insulation=megohms("1.5"))
    assert judge(assumed, entries, GB).outcome is Outcome.PASS
    assert of(Check.INSULATION, assumed, replace(entries, earth=None)).result is CheckResult.INCONCLUSIVE


@pytest.mark.parametrize("fact", [Fact.HEATING, Fact.POWER])
def test_an_assumed_power_or_heating_lowers_no_insulation_limit(fact: Fact) -> None:
    # CoP Table 15.2: 0.3 MΩ for heating from 3 kW, otherwise 1 MΩ.
    low = replace(SOUND, insulation=megohms("0.5"))
    assert judge(KILN, low, GB).outcome is Outcome.PASS
    judgement = judge(replace(KILN, assumed=(fact,)), low, GB)
    assert (judgement.outcome, judgement.unconfirmed) == (Outcome.INCOMPLETE, (fact,))


def test_an_assumed_type_gets_the_strictest_leakage_limit() -> None:
    # CoP Table 15.3: 3.5 mA movable, 0.75 mA portable.
    entries = replace(SOUND, leakage=milliamps("3"))
    assert judge(PUMP, entries, GB).outcome is Outcome.PASS
    assert of(Check.LEAKAGE, replace(PUMP, assumed=(Fact.TYPE,)), entries).limit_high == D("0.75")


def test_an_assumed_kind_of_device_gets_the_shortest_time() -> None:
    lead = ItemFacts(
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.EXTENSION_LEAD,
        rcd=RcdKind.GENERAL,
        rcd_rating_ma=D(30),
    )
    timed = Entries(rcd_trips={Check.RCD_1X: parse_reading("250", Unit.MILLISECOND)})
    assert of(Check.RCD_1X, lead, timed).result is CheckResult.PASS
    finding = of(Check.RCD_1X, replace(lead, assumed=(Fact.RCD,)), timed)
    assert (finding.result, finding.limit_high) == (CheckResult.INCONCLUSIVE, D(200))


def test_in_eu_an_assumed_power_lets_no_current_decide_a_low_insulation() -> None:
    entries = replace(SOUND, insulation=megohms("0.2"), leakage=milliamps("3"))
    heater = replace(PUMP, heating=True, power_kw=D(4))
    assert of(Check.INSULATION, heater, entries, EU).result is CheckResult.PASS
    finding = of(Check.INSULATION, replace(heater, assumed=(Fact.POWER,)), entries, EU)
    assert finding.result is CheckResult.INCONCLUSIVE
    assert "passes only if its power is 4 kW" in finding.arithmetic


def test_a_rated_voltage_that_is_assumed_scales_no_substitute_reading_down() -> None:
    entry = LeakageEntry(
        reading=parse_reading("0.2", Unit.MILLIAMP),
        method=LeakageMethod.SUBSTITUTE,
        applied_volts=D(40),
        rated_volts=D(110),
    )
    tool = replace(PUMP, equipment_type=EquipmentType.HAND_HELD, rated_volts=110)
    entries = replace(SOUND, leakage=entry)
    assert of(Check.LEAKAGE, tool, entries).result is CheckResult.PASS  # 0.55 mA of 0.75
    assert of(Check.LEAKAGE, replace(tool, assumed=(Fact.VOLTAGE,)), entries).result is CheckResult.INCONCLUSIVE


def test_a_lead_does_not_fail_on_sight_by_what_nobody_has_read_nor_pass_by_it() -> None:
    # A 13 A fuse before 0.75 mm² fails on sight (common practice); a short moulded flex may have it (BS 1363 Table 2 note).
    lead = replace(
        PUMP,
        equipment_type=EquipmentType.EXTENSION_LEAD,
        cord=Cord(csa_mm2=D("0.75"), length_m=D("1.8")),
        fuse_a=D(13),
        power_kw=None,
    )
    sound = replace(SOUND, polarity=True)
    short = replace(lead, moulded_plug=True)
    assert judge(lead, sound, GB).outcome is Outcome.FAIL
    assert judge(short, sound, GB).outcome is Outcome.PASS
    for facts in (replace(lead, assumed=(Fact.FUSE,)), replace(short, assumed=(Fact.CORD_LENGTH,))):
        judgement = judge(facts, sound, GB)
        assert (judgement.outcome, judgement.unconfirmed) == (Outcome.INCOMPLETE, facts.assumed)
        assert "as assumed: confirm or change" in judgement.findings[0].arithmetic
    seen_bad = replace(sound, visual=False)
    assert judge(replace(lead, assumed=(Fact.FUSE,)), seen_bad, GB).outcome is Outcome.FAIL


FACTS = st.builds(
    ItemFacts,
    appliance_class=st.sampled_from(ApplianceClass),
    equipment_type=st.sampled_from(EquipmentType),
    cord=st.sampled_from(
        [None, *(Cord(csa_mm2=D(csa), length_m=D(length)) for csa in ("0.75", "2.5") for length in ("1", "9", "30"))]
    ),
    power_kw=st.sampled_from([None, D("0.5"), D("2.5"), D(6)]),
    heating=st.booleans(),
    rcd=st.sampled_from([None, RcdKind.GENERAL, RcdKind.S, RcdKind.ANZ_2]),
    is_rcd=st.booleans(),
    connection=st.sampled_from(Connection),
    unsuitable_500v=st.booleans(),
    double_leakage=st.booleans(),
    flat_earth_limit_ohm=st.sampled_from([None, D("0.5")]),
    unearthed_metal=st.booleans(),
    functional_earth=st.booleans(),
    fuse_a=st.sampled_from([None, D(3), D(13)]),
    moulded_plug=st.booleans(),
    rated_volts=st.sampled_from([None, 12, 110, 230, 400]),
    phases=st.sampled_from([1, 1, 3]),
    mineral_insulated=st.booleans(),
    microwave=st.booleans(),
    assumed=st.sets(st.sampled_from(Fact)).map(lambda chosen: tuple(fact for fact in Fact if fact in chosen)),
)
SECOND = st.fixed_dictionaries(
    {},
    optional={
        **{
            check: st.sampled_from([parse_reading(each, Unit.MEGOHM) for each in (">299", "1.5")])
            for check in INSULATIONS[1:]
        },
        **{
            check: st.sampled_from([parse_reading(each, Unit.MILLIAMP) for each in ("0.1", "0.3")])
            for check in (Check.UNEARTHED_CURRENT, Check.FUNCTIONAL_EARTH_CURRENT)
        },
    },
)
ENTRIES = st.builds(
    Entries,
    second=SECOND,
    visual=st.sampled_from([None, True, True, False]),
    earth=st.sampled_from([None, *(ohms(each) for each in ("0.05", "0.13", "0.28", "0.45", ">0.05"))]),
    polarity=st.sampled_from([None, True, True, False]),
    insulation=st.sampled_from([None, *(megohms(each) for each in (">299", "1.5", "0.5", "0.2", "OL"))]),
    leakage=st.sampled_from(
        [None, *(milliamps(each, how) for each in ("0.1", "0.6", "3", "6") for how in (None, *LeakageMethod))]
    ),
    functional=st.sampled_from([None, True, True, False]),
    rcd_trips=st.sampled_from(
        [{}, *({Check.RCD_1X: parse_reading(each, Unit.MILLISECOND)} for each in ("150", "250", "400"))]
    ),
)
GOOD = st.builds(
    Entries,
    second=SECOND,
    visual=st.just(True),
    earth=st.sampled_from([ohms(each) for each in ("0.05", "0.13", "0.28", "0.45")]),
    polarity=st.just(True),
    insulation=st.sampled_from([megohms(each) for each in (">299", "1.5", "0.5")]),
    leakage=st.sampled_from([None, *(milliamps(each) for each in ("0.1", "0.6", "3"))]),
    functional=st.just(True),
    rcd_trips=st.just({Check.RCD_1X: parse_reading("150", Unit.MILLISECOND)}),
)


@given(BOOKS, FACTS, ENTRIES | GOOD, st.sampled_from(Fact))
def test_assuming_one_fact_more_never_makes_a_pass(
    book: RuleBook, facts: ItemFacts, entries: Entries, fact: Fact
) -> None:
    more = replace(facts, assumed=tuple(each for each in Fact if each in {*facts.assumed, fact}))
    if judge(more, entries, book).outcome is Outcome.PASS:
        assert judge(facts, entries, book).outcome is Outcome.PASS


def test_insulation_beyond_a_range_that_is_known_is_at_least_its_top() -> None:
    beyond = replace(SOUND, insulation=megohms("OL"))
    read = replace(PUMP, cord=None)
    assert judge(read, beyond, GB).outcome is Outcome.INCOMPLETE
    for stated, outcome in (
        ("insulation to 20: 5 %; insulation to 299: 10 %", Outcome.PASS),
        ("insulation to 0.5: 5 %", Outcome.INCOMPLETE),
        ("insulation: 5 %", Outcome.INCOMPLETE),
        ("earth-continuity to 20: 5 %", Outcome.INCOMPLETE),
    ):
        assert judge(read, beyond, GB, stated=parse_accuracy(stated)).outcome is outcome, stated


@pytest.mark.parametrize(
    ("reading", "doubted"),
    [("0.00", True), ("0.05", True), ("0.18", True), ("0.19", False), ("0.20", False), ("0.2", False)],
)
def test_a_reading_below_what_the_cord_itself_has_is_doubted(reading: str, *, doubted: bool) -> None:
    # 19.5 mΩ/m × 10 m = 0.195 Ω (IEC 60228); the last digit of the display is granted.
    said = [doubt.words for doubt in judge(PUMP, replace(SOUND, earth=ohms(reading)), GB).doubts]
    assert any(f"doubt the earth reading of {D(reading).normalize():f} Ω" in each for each in said) is doubted


def test_a_substitute_reading_that_the_instrument_has_referred_is_taken_as_it_stands() -> None:
    entry = LeakageEntry(reading=parse_reading("0.7", Unit.MILLIAMP), method=LeakageMethod.SUBSTITUTE, referred=True)
    tool = replace(PUMP, equipment_type=EquipmentType.HAND_HELD)
    finding = of(Check.LEAKAGE, tool, replace(SOUND, leakage=entry))
    assert finding.result is CheckResult.PASS
    assert "referred to rated voltage by the instrument" in finding.arithmetic
    halved = of(Check.LEAKAGE, PUMP, replace(SOUND, leakage=replace(entry, two_pole_symmetric=True)), EU)
    assert "÷ 2 = 0.35 mA" in halved.arithmetic
    assert (
        of(Check.LEAKAGE, PUMP, replace(SOUND, leakage=replace(entry, referred=False))).result
        is CheckResult.INCONCLUSIVE
    )


def test_a_movable_radiator_gets_the_cautious_leakage_limit() -> None:
    # CoP Table 15.3, the cautious of two readings: 0.75 mA/kW × 2 kW = 1.5 mA, not 3.5 mA.
    radiator = replace(PUMP, heating=True, power_kw=D(2))
    assert of(Check.LEAKAGE, radiator, replace(SOUND, leakage=milliamps("3.4"))).result is CheckResult.FAIL
    assert of(Check.LEAKAGE, radiator, replace(SOUND, leakage=milliamps("1.5"))).limit_high == D("1.5")
