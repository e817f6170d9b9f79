"""What was typed of an item, judged in one place: several readings, the worst of them, and what a failure closes."""

import pytest
from msgspec.structs import replace

from appreg.core.judging.inspection_judging import TypedJudgement, judge_inspection, judge_typed
from appreg.core.judging.instrument_accuracy import InstrumentAccuracy
from appreg.core.judging.typed_checks import Figure, Setup, TypedChecks, read_checks
from appreg.core.records.appliances import ApplianceClass, Cord, EquipmentType, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthCurrent, LeakageMethod
from appreg.core.records.kept_records import InspectionKind
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.visual_list import looked_over
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.typed_values import decimal_typed
from appreg.errors import InputRefused

GB = load_rule_book("gb")
NOTHING = InstrumentAccuracy()


def number(text: str) -> object:
    return decimal_typed(text, field="number")


def metres(text: str) -> Cord:
    csa, length = decimal_typed("0.75", field="csa"), decimal_typed(text, field="length")
    assert csa is not None
    assert length is not None
    return Cord(csa_mm2=csa, length_m=length)


KETTLE = ItemFacts(
    appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE, heating=True, cord=metres("0.8")
)
LEAD = replace(KETTLE, equipment_type=EquipmentType.EXTENSION_LEAD, heating=False, rcd=RcdKind.GENERAL)
THREE_LINES = replace(KETTLE, phases=3)
SOUND = TypedChecks(
    seen={Check.VISUAL: True, Check.FUNCTIONAL: True},
    readings={Check.EARTH_CONTINUITY: "0.08", Check.INSULATION: ">299"},
)


def typed(**readings: str) -> TypedChecks:
    more = {Check(name.replace("_", "-")): text for name, text in readings.items()}
    return replace(SOUND, readings={**SOUND.readings, **more})


def judged(checks: TypedChecks, facts: ItemFacts = KETTLE, *read_so: str) -> TypedJudgement:
    return judge_typed(
        checks, CheckRules(facts, GB), InspectionKind.COMBINED, stated=NOTHING, guarded=False, read_so=read_so
    )


# The limits are those of the earth, insulation and trip time checked in tests/outside (CoP; 300 ms at 1 IΔn).
@pytest.mark.parametrize(
    ("facts", "check", "text", "worst", "result"),
    [
        (LEAD, Check.RCD_1X, "28/24", "28", CheckResult.PASS),
        (LEAD, Check.RCD_1X, "28/310", "310", CheckResult.FAIL),
        (LEAD, Check.RCD_1X, ">250/290", ">250", CheckResult.INCONCLUSIVE),
        (LEAD, Check.RCD_1X, "28/none", "none", CheckResult.FAIL),
        (THREE_LINES, Check.INSULATION, ">299/0.4/>299", "0.4", CheckResult.FAIL),
        (THREE_LINES, Check.INSULATION, ">299/12/>299", "12", CheckResult.PASS),
        (THREE_LINES, Check.LEAKAGE, "0.2/0.3/0.25", "0.3", CheckResult.PASS),
        (KETTLE, Check.EARTH_CONTINUITY, "0.05/0,09", "0,09", CheckResult.PASS),
    ],
)
def test_of_readings_side_by_side_the_worst_decides_and_all_are_told(
    facts: ItemFacts, check: Check, text: str, worst: str, result: CheckResult
) -> None:
    finding = judged(replace(SOUND, readings={**SOUND.readings, check: text}), facts).findings[check]
    assert (finding.reading, finding.result) == (worst, result)
    assert finding.readings == tuple(text.split("/"))


@pytest.mark.parametrize("check", [Check.EARTH_CONTINUITY, Check.INSULATION, Check.LEAKAGE, Check.MICROWAVE])
@pytest.mark.parametrize("text", ["plenty", "1,234", "0.08/x", "/"])
def test_what_cannot_be_read_is_told_and_never_passes(check: Check, text: str) -> None:
    assert judged(SOUND).outcome is Outcome.PASS
    unread = judged(replace(SOUND, readings={**SOUND.readings, check: text}))
    assert unread.outcome is Outcome.INCOMPLETE
    assert list(unread.problems) == [check]


def test_a_figure_that_cannot_be_read_keeps_a_complete_item_from_passing() -> None:
    unread = judged(replace(SOUND, figures={Figure.LOAD: "much"}))
    assert (unread.outcome, list(unread.problems)) == (Outcome.INCOMPLETE, [Figure.LOAD])


def test_a_failed_earth_closes_what_comes_after_it_whatever_was_typed_there() -> None:
    failed = judged(typed(earth_continuity="0.08/1.5"))
    assert (failed.outcome, failed.closing) == (Outcome.FAIL, Check.EARTH_CONTINUITY)
    assert failed.closed_by(Check.INSULATION) is Check.EARTH_CONTINUITY
    assert failed.findings[Check.INSULATION].result is CheckResult.NOT_DONE


def test_how_it_was_measured_goes_into_the_entries() -> None:
    setup = Setup(
        earth_current=EarthCurrent.MA200,
        insulation_volts=250,
        lines_linked=True,
        leakage_method=LeakageMethod.SUBSTITUTE,
    )
    checks = replace(typed(leakage="0.1"), setup=setup, figures={Figure.APPLIED_VOLTS: "40 V"})
    entries = read_checks(checks).entries
    assert entries.earth is not None
    assert entries.insulation is not None
    assert entries.leakage is not None
    assert entries.earth.test_current is EarthCurrent.MA200
    assert (entries.insulation.volts, entries.insulation.lines_linked) == (250, True)
    assert (entries.leakage.method, entries.leakage.applied_volts) == (LeakageMethod.SUBSTITUTE, number("40"))


def test_a_doubt_is_open_until_it_is_confirmed_and_keeps_the_pass_back() -> None:
    doubtful = judged(typed(earth_continuity="0.00"))
    assert doubtful.outcome is Outcome.INCOMPLETE
    (doubt,) = doubtful.doubts(Check.EARTH_CONTINUITY)
    assert doubtful.doubts(Check.INSULATION) == ()
    confirmed = judged(typed(earth_continuity="0.00"), KETTLE, doubt.words)
    assert (confirmed.outcome, confirmed.doubts()) == (Outcome.PASS, ())


def test_a_look_is_judged_by_the_look_alone_and_refuses_readings_rather_than_lose_them() -> None:
    looked = judge_typed(SOUND, CheckRules(KETTLE, GB), InspectionKind.VISUAL, stated=NOTHING, guarded=False)
    assert (looked.outcome, list(looked.findings)) == (Outcome.PASS, [Check.VISUAL])
    entries = read_checks(SOUND).entries
    with pytest.raises(InputRefused, match="a combined inspection and test to keep the readings"):
        judge_inspection(CheckRules(KETTLE, GB), InspectionKind.VISUAL, entries, stated=NOTHING, guarded=False)


@pytest.mark.parametrize(
    ("answers", "comes_to"),
    [((), None), ((True, True), True), ((True, None), None), ((None, False), False), ((True, False), False)],
)
def test_the_look_is_good_once_every_line_is_and_bad_as_soon_as_one_is(
    answers: tuple[bool | None, ...], comes_to: bool | None
) -> None:
    assert looked_over(answers) is comes_to
