"""Guarding takes passes back and gives none, whatever is read and whatever the instrument states."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.judging.instrument_accuracy import AccuracyRange, InstrumentAccuracy, parse_accuracy
from appreg.core.judging.uncertainty import Accuracy
from appreg.core.judging.verdicts import Judgement, judge
from appreg.core.records.appliances import ApplianceClass, EquipmentType, ItemFacts
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading

GB = load_rule_book("gb")
KETTLE = ItemFacts(appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE)
RANK = (CheckResult.FAIL, CheckResult.INCONCLUSIVE, CheckResult.PASS)

earths = st.decimals("0.00", "0.30", places=2).map(str)
insulations = st.one_of(st.decimals("0.1", "300", places=1).map(str), st.sampled_from([">299", ">1.0", ">2", "<5"]))
percents = st.integers(0, 120)


def entered(earth: str, insulation: str) -> Entries:
    return Entries(
        visual=True,
        functional=True,
        earth=EarthEntry(reading=parse_reading(earth, Unit.OHM)),
        insulation=InsulationEntry(reading=parse_reading(insulation, Unit.MEGOHM), volts=500),
    )


def result(judgement: Judgement, check: Check) -> CheckResult:
    return next(finding.result for finding in judgement.findings if finding.check is check)


def stating(percent: int) -> InstrumentAccuracy:
    accuracy = Accuracy(percent=Decimal(percent))
    return InstrumentAccuracy(
        tuple(AccuracyRange(check, None, accuracy) for check in (Check.EARTH_CONTINUITY, Check.INSULATION))
    )


@given(earths, insulations, percents)
def test_guarding_never_turns_a_reading_into_a_pass(earth: str, insulation: str, percent: int) -> None:
    entries = entered(earth, insulation)
    simple, guarded = judge(KETTLE, entries, GB), judge(KETTLE, entries, GB, stated=stating(percent), guarded=True)
    for finding in guarded.findings:
        if finding.result is CheckResult.PASS:
            assert finding in simple.findings
    if guarded.outcome is Outcome.PASS:
        assert guarded == simple


@given(earths, percents, percents)
def test_a_less_exact_instrument_never_accepts_more(earth: str, one: int, other: int) -> None:
    finer, coarser = (
        result(judge(KETTLE, entered(earth, ">299"), GB, stated=stating(percent), guarded=True), Check.EARTH_CONTINUITY)
        for percent in sorted((one, other))
    )
    assert RANK.index(coarser) <= RANK.index(finer)


@given(st.tuples(earths, earths), percents)
def test_a_worse_reading_is_never_judged_better(pair: tuple[str, str], percent: int) -> None:
    better, worse = (
        result(judge(KETTLE, entered(earth, ">299"), GB, stated=stating(percent), guarded=True), Check.EARTH_CONTINUITY)
        for earth in sorted(pair, key=Decimal)
    )
    assert RANK.index(worse) <= RANK.index(better)


def test_without_guard_what_the_instrument_states_changes_nothing() -> None:
    entries = entered("0.1", "1")
    assert judge(KETTLE, entries, GB, stated=stating(50)) == judge(KETTLE, entries, GB)


@pytest.mark.parametrize("stated", ["", "insulation: 5 %", "earth-continuity to 0.05: 5 %; insulation: 5 %"])
def test_no_accuracy_for_the_reading_is_doubt(stated: str) -> None:
    judgement = judge(KETTLE, entered("0.08", ">299"), GB, stated=parse_accuracy(stated), guarded=True)
    assert result(judgement, Check.EARTH_CONTINUITY) is CheckResult.INCONCLUSIVE
    assert judgement.outcome is Outcome.INCOMPLETE
