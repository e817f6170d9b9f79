"""Guarded acceptance on whole inspections.

ILAC-G8:09/2019, 4.2.2: with the guard band w = U a reading is accepted only up to the limit less U (published).
The figures limit 0.30, U 0.02 with readings 0.27, 0.31 and 0.33 are quoted second-hand; the largest reading accepted
under 0.3 Ω at 30 % of reading, 0.3 / 1.3 = 0.2308 Ω, and the smallest over 1 MΩ, 1 / 0.7 = 1.43 MΩ, follow from it.
"""

from decimal import Decimal

import pytest

from appreg.core.appliances import ApplianceClass, EquipmentType, ItemFacts, RcdKind
from appreg.core.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.findings import Finding
from appreg.core.guarded_acceptance import guarded_judgement
from appreg.core.instrument_accuracy import parse_accuracy
from appreg.core.outcomes import CheckResult, Outcome
from appreg.core.readings import Unit, parse_reading
from appreg.core.rule_book_loading import load_rule_book
from appreg.core.verdicts import Judgement, judge

GB = load_rule_book("gb")
FLAT = ItemFacts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.PORTABLE,
    flat_earth_limit_ohm=Decimal("0.3"),
)


def guarded(entries: Entries, accuracy: str, facts: ItemFacts = FLAT) -> Judgement:
    return guarded_judgement(judge(facts, entries, GB), entries, GB, parse_accuracy(accuracy))


def entered(earth: str = "0.1", insulation: str = "200") -> Entries:
    return Entries(
        visual=True,
        functional=True,
        earth=EarthEntry(reading=parse_reading(earth, Unit.OHM)),
        insulation=InsulationEntry(reading=parse_reading(insulation, Unit.MEGOHM), volts=500),
    )


def found(judgement: Judgement, check: Check) -> Finding:
    return next(finding for finding in judgement.findings if finding.check is check)


@pytest.mark.parametrize(
    ("reading", "result"),
    [
        ("0.27", CheckResult.PASS),
        ("0.28", CheckResult.PASS),
        ("0.281", CheckResult.INCONCLUSIVE),
        ("0.30", CheckResult.INCONCLUSIVE),
        ("0.31", CheckResult.FAIL),
        ("0.33", CheckResult.FAIL),
    ],
)
def test_an_upper_limit_of_0_30_is_guarded_by_0_02(reading: str, result: CheckResult) -> None:
    accuracy = "earth-continuity: 0 % + 2 × 0.01; insulation: 5 %"
    assert found(guarded(entered(reading), accuracy), Check.EARTH_CONTINUITY).result is result


@pytest.mark.parametrize(("reading", "passes"), [("0.2307", True), ("0.2308", False)])
def test_thirty_per_cent_of_reading_accepts_up_to_0_3_over_1_3(reading: str, passes: bool) -> None:
    judgement = guarded(entered(reading), "earth-continuity: 30 %; insulation: 30 %")
    assert (found(judgement, Check.EARTH_CONTINUITY).result is CheckResult.PASS) is passes


@pytest.mark.parametrize(("reading", "passes"), [("1.43", True), ("1.42", False), (">299", True), (">1.2", False)])
def test_thirty_per_cent_of_reading_accepts_insulation_from_1_43(reading: str, passes: bool) -> None:
    judgement = guarded(entered(insulation=reading), "earth-continuity: 5 %; insulation: 30 %")
    assert (found(judgement, Check.INSULATION).result is CheckResult.PASS) is passes


def test_a_pass_in_the_guard_band_leaves_the_inspection_incomplete_and_says_why() -> None:
    judgement = guarded(entered("0.29"), "earth-continuity: 0 % + 2 × 0.01; insulation: 5 %")
    assert judgement.outcome is Outcome.INCOMPLETE
    assert found(judgement, Check.EARTH_CONTINUITY).arithmetic.endswith(
        "guarded: the limit lies within 0.02 Ω of the reading"
    )


def test_an_instrument_that_states_nothing_bears_out_no_pass() -> None:
    judgement = guarded(entered(), "insulation: 5 %")
    assert found(judgement, Check.EARTH_CONTINUITY).result is CheckResult.INCONCLUSIVE
    assert found(judgement, Check.INSULATION).result is CheckResult.PASS


def test_readings_clear_of_their_limits_pass_as_before() -> None:
    entries = entered()
    judgement = guarded(entries, "earth-continuity: 5 %; insulation: 30 %")
    assert judgement == judge(FLAT, entries, GB)
    assert judgement.outcome is Outcome.PASS


def test_a_failure_stays_a_failure() -> None:
    assert guarded(entered("0.9"), "earth-continuity: 200 %; insulation: 5 %").outcome is Outcome.FAIL


@pytest.mark.parametrize(("reading", "passes"), [("0.10", True), ("0.12", False)])
def test_the_doubt_of_a_substitute_reading_is_scaled_with_it(reading: str, passes: bool) -> None:
    # 0.10 mA × 230 / 40 = 0.575 mA, U 20 % of it 0.115: below 0.75; 0.12 mA gives 0.69 and 0.138: not below.
    entries = Entries(
        leakage=LeakageEntry(
            reading=parse_reading(reading, Unit.MILLIAMP),
            method=LeakageMethod.SUBSTITUTE,
            applied_volts=Decimal(40),
            rated_volts=Decimal(230),
        )
    )
    judgement = guarded(entries, "leakage: 20 %")
    assert (found(judgement, Check.LEAKAGE).result is CheckResult.PASS) is passes


def test_a_device_that_did_not_trip_needs_no_guard() -> None:
    facts = ItemFacts(
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.EXTENSION_LEAD,
        rcd=RcdKind.GENERAL,
        rcd_rating_ma=Decimal(30),
    )
    judgement = guarded(Entries(rcd_trips={Check.RCD_HALF: None}), "", facts)
    assert found(judgement, Check.RCD_HALF).result is CheckResult.PASS
