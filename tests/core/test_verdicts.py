from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.judging.verdicts import Judgement, judge
from appreg.core.records.appliances import ApplianceClass, Connection, Cord, EquipmentType, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.required_checks import required_checks
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_rule_book
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Comparator, Reading, Unit, parse_reading

GB, EU, ANZ = (load_rule_book(book_id) for book_id in RULE_BOOK_IDS)
BOOKS = st.sampled_from((GB, EU, ANZ))
KETTLE = ItemFacts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.PORTABLE,
    cord=Cord(csa_mm2=D("0.75"), length_m=D("0.8")),
)
LEAD = ItemFacts(appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.EXTENSION_LEAD)
LAMP = ItemFacts(appliance_class=ApplianceClass.CLASS_II, equipment_type=EquipmentType.PORTABLE)


def earth(typed: str, celsius: str = "") -> EarthEntry:
    return EarthEntry(reading=parse_reading(typed, Unit.OHM), conductor_celsius=D(celsius) if celsius else None)


def insulation(typed: str, volts: int | None = 500) -> InsulationEntry:
    return InsulationEntry(reading=parse_reading(typed, Unit.MEGOHM), volts=volts)


def leakage(typed: str, method: LeakageMethod | None = None, applied: str = "", rated: str = "") -> LeakageEntry:
    return LeakageEntry(
        reading=parse_reading(typed, Unit.MILLIAMP),
        method=method,
        applied_volts=D(applied) if applied else None,
        rated_volts=D(rated) if rated else None,
    )


SOUND = Entries(visual=True, earth=earth("0.05"), insulation=insulation(">299"), functional=True)
SOUND_LEAD = Entries(visual=True, earth=earth("0.05"), polarity=True, insulation=insulation(">299"))


def result_of(judgement: Judgement, check: Check) -> CheckResult:
    return finding_of(judgement, check).result


def finding_of(judgement: Judgement, check: Check) -> Finding:
    return next(finding for finding in judgement.findings if finding.check is check)


@pytest.mark.parametrize("book", [GB, EU, ANZ], ids=lambda book: book.id)
def test_a_complete_sound_set_passes(book: RuleBook) -> None:
    judgement = judge(KETTLE, replace(SOUND, leakage=leakage("0.4")) if book is EU else SOUND, book)
    assert (judgement.outcome, judgement.missing) == (Outcome.PASS, ())


def test_nothing_entered_is_incomplete_with_every_limit_shown() -> None:
    judgement = judge(KETTLE, Entries(), GB)
    assert judgement.outcome is Outcome.INCOMPLETE
    assert judgement.missing == (Check.VISUAL, Check.EARTH_CONTINUITY, Check.INSULATION, Check.FUNCTIONAL)
    assert finding_of(judgement, Check.EARTH_CONTINUITY).arithmetic == "0.1 + 26.0 mΩ/m × 0.8 m = 0.1208 Ω"
    assert {finding.result for finding in judgement.findings} == {CheckResult.NOT_DONE}


@pytest.mark.parametrize(
    ("facts", "needed"),
    [
        (KETTLE, "visual earth-continuity insulation functional"),
        (replace(KETTLE, appliance_class=ApplianceClass.UNKNOWN), "visual earth-continuity insulation functional"),
        (LAMP, "visual insulation functional"),
        (replace(LAMP, appliance_class=ApplianceClass.CLASS_III), "visual functional"),
        (replace(KETTLE, connection=Connection.BATTERY), "visual functional"),
        (replace(LAMP, is_rcd=True), "visual insulation functional rcd-1x rcd-button"),
        (LEAD, "visual earth-continuity polarity insulation"),
        (replace(LEAD, appliance_class=ApplianceClass.CLASS_II), "visual"),
        (replace(LAMP, equipment_type=EquipmentType.CORD_SET), "visual polarity insulation"),
        (replace(LAMP, unsuitable_500v=True), "visual leakage functional"),
        (replace(LEAD, rcd=RcdKind.GENERAL), "visual earth-continuity polarity insulation rcd-1x rcd-button"),
        (replace(LAMP, microwave=True), "visual insulation functional microwave"),
    ],
)
def test_each_item_needs_the_checks_of_its_class_and_type(facts: ItemFacts, needed: str) -> None:
    assert " ".join(required_checks(facts, GB)) == needed


def test_an_extra_check_that_fails_fails_the_item() -> None:
    judgement = judge(LAMP, replace(SOUND, earth=None, leakage=leakage("0.3")), GB)
    assert (judgement.outcome, result_of(judgement, Check.LEAKAGE)) == (Outcome.FAIL, CheckResult.FAIL)


def test_an_inconclusive_reading_leaves_the_inspection_incomplete() -> None:
    judgement = judge(KETTLE, replace(SOUND, insulation=insulation("OL")), GB)
    assert judgement.outcome is Outcome.INCOMPLETE
    assert judgement.missing == ()


def test_a_failure_outweighs_what_is_missing() -> None:
    judgement = judge(KETTLE, Entries(visual=True, earth=earth("0.05"), insulation=insulation("0.5")), GB)
    assert (judgement.outcome, judgement.missing) == (Outcome.FAIL, ())
    wants = judge(KETTLE, Entries(visual=True, insulation=insulation("0.5"), functional=False), GB)
    assert (wants.outcome, wants.missing) == (Outcome.FAIL, (Check.EARTH_CONTINUITY,))


@pytest.mark.parametrize("first", [Entries(visual=False), Entries(visual=True, earth=earth("0.5"))])
def test_a_failed_look_or_earth_closes_what_comes_after(first: Entries) -> None:
    judgement = judge(KETTLE, replace(SOUND, visual=first.visual, earth=first.earth), GB)
    assert judgement.outcome is Outcome.FAIL
    assert judgement.missing == ()
    closed = finding_of(judgement, Check.INSULATION)
    assert (closed.result, closed.reading, closed.limit_low) == (CheckResult.NOT_DONE, ">299", D(1))
    assert closed.arithmetic.startswith("closed: ")


def test_a_failed_insulation_closes_what_needs_mains_but_not_what_does_not() -> None:
    entries = replace(SOUND, insulation=insulation("0.5"), leakage=leakage("0.4"))
    judgement = judge(KETTLE, entries, GB)
    assert result_of(judgement, Check.FUNCTIONAL) is CheckResult.NOT_DONE
    assert result_of(judgement, Check.LEAKAGE) is CheckResult.NOT_DONE
    assert finding_of(judgement, Check.LEAKAGE).arithmetic == "closed: insulation failed, put that right first"
    dead = judge(KETTLE, replace(entries, leakage=leakage("0.1", LeakageMethod.SUBSTITUTE, "40", "230")), GB)
    assert result_of(dead, Check.LEAKAGE) is CheckResult.PASS
    assert Check.RCD_1X in judgement.closed
    assert Check.POLARITY not in judgement.closed


def test_an_extension_lead_of_two_cores_fails_on_sight() -> None:
    judgement = judge(replace(LEAD, appliance_class=ApplianceClass.CLASS_II), SOUND_LEAD, GB)
    assert judgement.outcome is Outcome.FAIL
    assert "two cores" in finding_of(judgement, Check.VISUAL).arithmetic


def test_a_voltage_not_stated_is_no_pass_where_500_v_is_unsuitable() -> None:
    delicate = replace(KETTLE, unsuitable_500v=True)
    judgement = judge(delicate, replace(SOUND, insulation=insulation(">299", None)), GB)
    assert result_of(judgement, Check.INSULATION) is CheckResult.INCONCLUSIVE
    assert judge(KETTLE, replace(SOUND, insulation=insulation(">299", None)), GB).outcome is Outcome.PASS


@pytest.mark.parametrize("book", [GB, EU, ANZ], ids=lambda book: book.id)
def test_250_v_serves_the_second_class_too_where_500_v_is_unsuitable(book: RuleBook) -> None:
    lamp = replace(LAMP, unsuitable_500v=True)
    judgement = judge(
        lamp, replace(SOUND, earth=None, insulation=insulation(">299", 250), leakage=leakage("0.1")), book
    )
    assert judgement.outcome is Outcome.PASS


@pytest.mark.parametrize("facts", [KETTLE, LAMP], ids=["class I", "class II"])
def test_in_eu_nothing_passes_without_a_leakage_measurement_by_a_method_that_says_enough(facts: ItemFacts) -> None:
    usual = LeakageMethod.PROTECTIVE_CONDUCTOR if facts is KETTLE else LeakageMethod.TOUCH
    sound = SOUND if facts is KETTLE else replace(SOUND, earth=None)
    assert judge(facts, sound, EU).missing == (Check.LEAKAGE,)
    assert judge(facts, replace(sound, leakage=leakage("0.1", usual)), EU).outcome is Outcome.PASS
    if facts is KETTLE:
        assert judge(facts, replace(sound, leakage=leakage("0.1", LeakageMethod.TOUCH)), EU).missing == (Check.LEAKAGE,)


def test_a_failed_insulation_cautions_against_energising() -> None:
    advice = judge(KETTLE, replace(SOUND, insulation=insulation("0.5")), GB).advice
    assert any(sentence.startswith("do not energise the item: insulation failed") for sentence in advice)


@pytest.mark.parametrize(
    ("facts", "entry", "outcome"),
    [
        (KETTLE, leakage("0.4"), Outcome.PASS),
        (KETTLE, leakage("0.4", LeakageMethod.PROTECTIVE_CONDUCTOR), Outcome.PASS),
        (KETTLE, leakage("0.1", LeakageMethod.SUBSTITUTE, "40", "230"), Outcome.PASS),
        (KETTLE, leakage("0.1", LeakageMethod.SUBSTITUTE), Outcome.INCOMPLETE),
        (KETTLE, leakage("0.1", LeakageMethod.SUBSTITUTE, "40"), Outcome.INCOMPLETE),
        (KETTLE, leakage("0.1", LeakageMethod.TOUCH), Outcome.INCOMPLETE),
        (LAMP, leakage("0.1"), Outcome.PASS),
        (LAMP, leakage("0.1", LeakageMethod.PROTECTIVE_CONDUCTOR), Outcome.INCOMPLETE),
        (replace(KETTLE, unsuitable_500v=True), leakage("0.4"), Outcome.PASS),
        (replace(KETTLE, unsuitable_500v=True), leakage("0.1", LeakageMethod.TOUCH), Outcome.INCOMPLETE),
    ],
)
def test_leakage_replaces_insulation_only_by_an_accepted_method(
    facts: ItemFacts, entry: LeakageEntry, outcome: Outcome
) -> None:
    entries = Entries(visual=True, earth=earth("0.05"), leakage=entry, functional=True)
    assert judge(facts, entries, GB).outcome is outcome


def test_touch_current_has_a_limit_for_class_i_in_eu_but_does_not_replace_insulation() -> None:
    entries = Entries(visual=True, earth=earth("0.05"), leakage=leakage("0.4", LeakageMethod.TOUCH), functional=True)
    judgement = judge(replace(KETTLE, unsuitable_500v=True), entries, EU)
    assert result_of(judgement, Check.LEAKAGE) is CheckResult.PASS
    assert (judgement.outcome, judgement.missing) == (Outcome.INCOMPLETE, (Check.LEAKAGE,))


def test_a_reading_of_insulation_at_250_v_does_where_500_v_is_unsuitable() -> None:
    delicate = replace(KETTLE, unsuitable_500v=True)
    assert judge(delicate, replace(SOUND, insulation=insulation(">299", 250)), GB).outcome is Outcome.PASS
    assert judge(KETTLE, replace(SOUND, insulation=insulation(">299", 250)), GB).outcome is Outcome.INCOMPLETE


def test_a_failure_at_too_low_a_voltage_stays_a_failure() -> None:
    assert judge(KETTLE, replace(SOUND, insulation=insulation("0.5", 250)), GB).outcome is Outcome.FAIL


def test_an_earth_reading_is_referred_to_twenty_degrees_in_writing() -> None:
    cold = judge(KETTLE, replace(SOUND, earth=earth("0.12", "10")), GB)
    finding = finding_of(cold, Check.EARTH_CONTINUITY)
    assert finding.result is CheckResult.FAIL
    assert "0.12 Ω / 0.96 = 0.125 Ω at 20 °C" in finding.arithmetic


def test_a_temperature_the_factors_do_not_cover_proves_nothing() -> None:
    hot = judge(KETTLE, replace(SOUND, earth=earth("0.05", "90")), GB)
    assert result_of(hot, Check.EARTH_CONTINUITY) is CheckResult.INCONCLUSIVE


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (replace(KETTLE, cord=Cord(csa_mm2=D(2), length_m=D(1))), "choose from 0.5, 0.75"),
        (replace(KETTLE, cord=None, flat_earth_limit_ohm=D("0.4")), "choose from 0.1, 0.2, 0.3, 0.5 Ω"),
    ],
)
def test_a_limit_that_cannot_be_known_is_inconclusive_and_says_why(facts: ItemFacts, words: str) -> None:
    finding = finding_of(judge(facts, SOUND, GB), Check.EARTH_CONTINUITY)
    assert finding.result is CheckResult.INCONCLUSIVE
    assert words in finding.arithmetic


HEATER = replace(KETTLE, heating=True, power_kw=D(4))


@pytest.mark.parametrize(
    ("entry", "result"),
    [
        (None, CheckResult.INCONCLUSIVE),
        (leakage("3.9"), CheckResult.PASS),
        (leakage("4.1"), CheckResult.FAIL),
        (leakage("<5"), CheckResult.INCONCLUSIVE),
        (leakage("0.1", LeakageMethod.TOUCH), CheckResult.INCONCLUSIVE),
    ],
)
def test_in_eu_current_decides_a_low_insulation_of_a_large_heater(
    entry: LeakageEntry | None, result: CheckResult
) -> None:
    judgement = judge(HEATER, replace(SOUND, insulation=insulation("0.2"), leakage=entry), EU)
    finding = finding_of(judgement, Check.INSULATION)
    assert finding.result is result
    assert "heating above 3.5 kW is decided by protective-conductor current" in finding.arithmetic


def test_current_decides_no_insulation_that_was_not_measured() -> None:
    judgement = judge(HEATER, replace(SOUND, insulation=None, leakage=leakage("0.5")), EU)
    assert finding_of(judgement, Check.INSULATION).result is CheckResult.NOT_DONE
    assert finding_of(judgement, Check.LEAKAGE).result is CheckResult.PASS


def test_a_device_fitted_but_not_timed_leaves_the_inspection_incomplete() -> None:
    fitted = replace(LEAD, rcd=RcdKind.GENERAL, rcd_rating_ma=D(30))
    assert judge(fitted, SOUND_LEAD, GB).missing == (Check.RCD_1X, Check.RCD_BUTTON)
    timed = replace(SOUND_LEAD, rcd_trips={Check.RCD_1X: parse_reading("28", Unit.MILLISECOND)}, rcd_button=True)
    judgement = judge(fitted, timed, GB)
    assert judgement.outcome is Outcome.PASS
    assert any("RCD not timed at 0.5x, 2x, 5x" in sentence for sentence in judgement.advice)


def test_a_trip_time_of_an_unstated_kind_proves_nothing() -> None:
    timed = replace(SOUND_LEAD, rcd_trips={Check.RCD_1X: parse_reading("28", Unit.MILLISECOND)})
    assert judge(LEAD, timed, GB).outcome is Outcome.INCOMPLETE


@given(
    BOOKS,
    st.sampled_from(ApplianceClass),
    st.sampled_from(EquipmentType),
    st.fixed_dictionaries(
        {
            "visual": st.sampled_from([None, True, False]),
            "earth": st.sampled_from([None, earth("0.05"), earth(">0.05"), earth("OL")]),
            "polarity": st.sampled_from([None, True]),
            "insulation": st.sampled_from([None, insulation(">299"), insulation("OL"), insulation("0.1")]),
            "leakage": st.sampled_from([None, leakage("0.1"), leakage("0.1", LeakageMethod.TOUCH), leakage("99")]),
            "functional": st.sampled_from([None, True, False]),
        }
    ),
)
def test_only_a_complete_set_of_passes_passes(
    book: RuleBook, appliance_class: ApplianceClass, equipment_type: EquipmentType, given_entries: dict[str, object]
) -> None:
    facts = ItemFacts(appliance_class=appliance_class, equipment_type=equipment_type)
    entries = Entries(**given_entries)  # type: ignore[arg-type]
    judgement = judge(facts, entries, book)
    if judgement.outcome is Outcome.PASS:
        done = {finding.check for finding in judgement.findings if finding.result is CheckResult.PASS}
        assert len(done) == len(judgement.findings)
        pair, needed = {Check.INSULATION, Check.LEAKAGE}, set(required_checks(facts, book))
        assert needed - pair <= done
        assert done & pair or not needed & pair


OHMS = st.decimals(min_value=0, max_value=5, places=3, allow_nan=False, allow_infinity=False)
RANKS = [Outcome.FAIL, Outcome.INCOMPLETE, Outcome.PASS]


def shown(comparator: Comparator, value: D, unit: Unit) -> Reading:
    return Reading(typed="", comparator=comparator, value=value, unit=unit)


@given(BOOKS, st.sampled_from(Comparator), OHMS, OHMS, st.sampled_from(["earth", "leakage", "insulation"]))
def test_an_outcome_never_improves_when_a_reading_worsens(
    book: RuleBook, comparator: Comparator, one: D, other: D, which: str
) -> None:
    low, high = sorted((one, other))
    better, worse = (high, low) if which == "insulation" else (low, high)
    outcomes = [judge(HEATER, entered(which, comparator, value), book).outcome for value in (better, worse)]
    assert RANKS.index(outcomes[1]) <= RANKS.index(outcomes[0])


def entered(which: str, comparator: Comparator, value: D) -> Entries:
    if which == "earth":
        return replace(SOUND, earth=EarthEntry(reading=shown(comparator, value, Unit.OHM)))
    if which == "leakage":
        return replace(SOUND, leakage=LeakageEntry(reading=shown(comparator, value, Unit.MILLIAMP)))
    return replace(SOUND, insulation=InsulationEntry(reading=shown(comparator, value, Unit.MEGOHM), volts=500))
