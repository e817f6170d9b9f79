"""Guarded acceptance on whole inspections.

ILAC-G8:09/2019: with the guard band w = U a reading is accepted only up to the limit less U (published).
The figures limit 0.30, U 0.02 with readings 0.27, 0.31 and 0.33 are quoted second-hand; the largest reading accepted
under 0.3 Ω at 30 % of reading, 0.3 / 1.3 = 0.2308 Ω, and the smallest over 1 MΩ, 1 / 0.7 = 1.43 MΩ, follow from it.
"""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from appreg.core.judging.instrument_accuracy import parse_accuracy
from appreg.core.judging.verdicts import Judgement, judge
from appreg.core.records.appliances import ApplianceClass, Cord, EquipmentType, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading
from appreg.errors import InputRefused
from tests.outside.checked_values import Checked, case_name, cases

GB = load_rule_book("gb")
FLAT = ItemFacts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.PORTABLE,
    flat_earth_limit_ohm=Decimal("0.3"),
)


def guarded(entries: Entries, accuracy: str, facts: ItemFacts = FLAT) -> Judgement:
    return judge(facts, entries, GB, stated=parse_accuracy(accuracy), guarded=True)


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
        ("0.281", CheckResult.FAIL),
        ("0.30", CheckResult.FAIL),
        ("<0.28", CheckResult.PASS),
        ("<0.29", CheckResult.INCONCLUSIVE),
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


# The two outcomes of the published rule: what is not accepted is rejected, and closes the checks after it as any failure.
def test_a_reading_in_the_guard_band_fails_and_says_why() -> None:
    judgement = guarded(entered("0.29"), "earth-continuity: 0 % + 2 × 0.01; insulation: 5 %")
    assert judgement.outcome is Outcome.FAIL
    assert found(judgement, Check.EARTH_CONTINUITY).arithmetic.endswith(
        "; 0.29 + U 0.02 = 0.31 > 0.3: guarded acceptance"
    )
    assert found(judgement, Check.INSULATION).result is CheckResult.NOT_DONE


def test_a_reading_too_close_above_a_lower_limit_fails_and_says_why() -> None:
    judgement = guarded(entered(insulation="1.2"), "earth-continuity: 5 %; insulation: 30 %")
    assert judgement.outcome is Outcome.FAIL
    assert found(judgement, Check.INSULATION).arithmetic.endswith("; 1.2 − U 0.36 = 0.84 < 1: guarded acceptance")


# A sign bounds the reading: it is no figure that could fail, and doubt is never a pass.
@pytest.mark.parametrize(("reading", "said"), [(">1.2", ">1.2 − U 0.36 = 0.84 < 1"), (">1", ">1 − U 0.3 = 0.7 < 1")])
def test_a_bound_in_the_guard_band_is_doubt(reading: str, said: str) -> None:
    judgement = guarded(entered(insulation=reading), "earth-continuity: 5 %; insulation: 30 %")
    finding = found(judgement, Check.INSULATION)
    assert (finding.result, judgement.outcome) == (CheckResult.INCONCLUSIVE, Outcome.INCOMPLETE)
    assert finding.arithmetic.endswith(f"; {said}: guarded acceptance")


def test_the_worked_limit_of_0_139_ohm_is_guarded_by_a_quarter_of_the_reading() -> None:
    # 1.0 mm², 2.0 m: 0.1 + 0.039 = 0.139 Ω (IEC 60228); 0.12 Ω passes by itself, with U = 25 % of it not.
    facts = ItemFacts(
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
        cord=Cord(csa_mm2=Decimal(1), length_m=Decimal(2)),
    )
    accuracy = "earth-continuity: 25 %; insulation: 5 %"
    assert judge(facts, entered("0.12"), GB).outcome is Outcome.PASS
    finding = found(guarded(entered("0.12"), accuracy, facts), Check.EARTH_CONTINUITY)
    assert finding.result is CheckResult.FAIL
    assert finding.arithmetic.endswith("0.12 + U 0.03 = 0.15 > 0.139: guarded acceptance")


# IEC 60228: a reading at 10 °C is divided by 0.96 to refer it to 20 °C; its uncertainty with it.
@pytest.mark.parametrize(("reading", "result"), [("0.26", CheckResult.PASS), ("0.27", CheckResult.FAIL)])
def test_the_doubt_of_a_reading_referred_to_20_degrees_is_referred_with_it(reading: str, result: CheckResult) -> None:
    earth = EarthEntry(reading=parse_reading(reading, Unit.OHM), conductor_celsius=Decimal(10))
    entries = replace(entered(), earth=earth)
    judgement = guarded(entries, "earth-continuity: 0 % + 2 × 0.01; insulation: 5 %")
    assert found(judgement, Check.EARTH_CONTINUITY).result is result


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


RULE_OF_A_BOOK = """
[decision.rule]
value = "guarded"
source = "House rule 7"
basis = "common practice"
"""


def test_a_rule_book_may_ask_for_guarded_acceptance_itself() -> None:
    book = load_rule_book("gb", RULE_OF_A_BOOK, "house.toml")
    accuracy = parse_accuracy("earth-continuity: 0 % + 2 × 0.01; insulation: 5 %")
    assert judge(FLAT, entered("0.29"), book, stated=accuracy).outcome is Outcome.FAIL
    assert judge(FLAT, entered("0.27"), book, stated=accuracy).outcome is Outcome.PASS
    assert judge(FLAT, entered("0.27"), book).outcome is Outcome.INCOMPLETE


@pytest.mark.parametrize("value", ['"strict"', '["guarded"]', "1", '""'])
def test_another_decision_rule_is_refused_with_its_line(value: str) -> None:
    with pytest.raises(InputRefused, match=r"house\.toml, line 2, decision\.rule: "):
        load_rule_book("gb", RULE_OF_A_BOOK.replace('"guarded"', value), "house.toml")


def simple_rule(book: RuleBook) -> None:
    limit = found(judge(FLAT, entered("0.1"), book), Check.EARTH_CONTINUITY).limit_high
    at_the_limit = judge(FLAT, entered(str(limit)), book)
    assert found(at_the_limit, Check.EARTH_CONTINUITY).result is CheckResult.PASS
    assert book.figures["decision.rule"].words == ("simple",)


CHECKED = (
    Checked(
        book="*",
        keys=("decision.rule",),
        expected="simple acceptance: the acceptance limit is the tolerance limit",
        source="ILAC-G8:09/2019",
        basis="published",
        run=simple_rule,
    ),
)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_the_books_agree_with_the_sources(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))
