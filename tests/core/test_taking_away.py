"""Neither taking away what was measured or answered, nor assuming what was read, ever makes a pass."""

from decimal import Decimal as D

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.judging.several_readings import parse_readings, with_reading
from appreg.core.judging.verdicts import Judgement, judge
from appreg.core.records.appliances import ApplianceClass, EquipmentType, Fact, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthEntry, Entries, LeakageEntry
from appreg.core.records.findings import Finding
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading
from tests.core.taking_away import without_check, without_reading
from tests.core.test_assumptions import ANZ, BOOKS, ENTRIES, EU, FACTS, GB, LAMP, PUMP, SOUND, megohms, milliamps

LEAD = replace(LAMP, rcd=RcdKind.GENERAL, rcd_rating_ma=D(30))
PLAIN = replace(PUMP, cord=None)
UNTIMED = settings(deadline=None)
NO_METAL = "no earthed metal can be touched"
ALL_SOUND = replace(
    SOUND,
    polarity=True,
    leakage=milliamps("0.1"),
    rcd_trips={Check.RCD_1X: parse_reading("20", Unit.MILLISECOND)},
    rcd_button=True,
)
BESIDE = {
    Check.EARTH_CONTINUITY: ("0.05/0.06", "0.05/0.45", "0.28/0.05"),
    Check.INSULATION: (">299/200", ">299/0.2", "0.5/OL"),
    Check.LEAKAGE: ("0.1/0.2", "0.1/6", "3/0.1"),
    Check.RCD_1X: ("20/24", "20/400", "none/20"),
    Check.RCD_5X: ("20/24", "20/90"),
}
"""By check: readings side by side, all good or one of them bad."""


def of(check: Check, judgement: Judgement) -> Finding:
    return next(each for each in judgement.findings if each.check is check)


def beside(entries: Entries, check: Check, typed: str) -> Entries:
    readings = parse_readings(typed, check)
    several = {**entries.several, check: readings}
    return with_reading(replace(entries, several=several), check, readings[0])


@st.composite
def inspections(draw: st.DrawFn) -> Entries:
    """Whatever may stand on a bench, most of it sound: what is bad, or stands side by side, is one thing or two."""
    entries = draw(ENTRIES | st.just(ALL_SOUND) | st.just(ALL_SOUND) | st.just(ALL_SOUND))
    for check in draw(st.sets(st.sampled_from([*BESIDE]), max_size=2)):
        entries = beside(entries, check, draw(st.sampled_from(BESIDE[check])))
    for answer in draw(st.sets(st.sampled_from(["functional", "polarity", "rcd_button"]), max_size=1)):
        entries = replace(entries, **{answer: draw(st.sampled_from([None, False]))})
    said = draw(st.sets(st.sampled_from(Check), max_size=3))
    return replace(entries, left_out=dict.fromkeys(said, "cannot be done here"))


USUAL = st.builds(
    ItemFacts,
    appliance_class=st.sampled_from([ApplianceClass.CLASS_I, ApplianceClass.CLASS_II]),
    equipment_type=st.sampled_from([EquipmentType.PORTABLE, EquipmentType.STATIONARY, EquipmentType.CORD_SET]),
    rcd=st.sampled_from([None, None, RcdKind.GENERAL]),
    unsuitable_500v=st.sampled_from([False, False, True]),
)
"""Items as most are, all of it read: such can pass, so that taking something away could make it so."""
INSPECTED = st.tuples(BOOKS, FACTS | USUAL | USUAL | USUAL, inspections())


@st.composite
def taken_away(draw: st.DrawFn, entries: Entries) -> Entries:
    """The same with one to three things taken away: a reading, a check, an answer, a reason."""
    for _ in range(draw(st.integers(1, 3))):
        there = [check for check in Check if entries.count(check)]
        reasons = [check for check in entries.left_out if draw(st.booleans())]
        if reasons:
            entries = replace(entries, left_out={k: v for k, v in entries.left_out.items() if k is not reasons[0]})
        elif there:
            check = draw(st.sampled_from(there))
            at = draw(st.integers(0, max(0, entries.count(check) - 1)))
            entries = without_reading(entries, check, at)
    return entries


@UNTIMED
@given(INSPECTED, st.data())
def test_taking_away_readings_checks_answers_and_reasons_never_makes_a_pass(
    inspected: tuple[RuleBook, ItemFacts, Entries], data: st.DataObject
) -> None:
    book, facts, entries = inspected
    less = data.draw(taken_away(entries))
    if judge(facts, less, book).outcome is Outcome.PASS:
        assert judge(facts, entries, book).outcome is Outcome.PASS


@UNTIMED
@given(INSPECTED, st.sampled_from(Fact))
def test_assuming_a_fact_that_was_read_never_makes_a_pass_whatever_is_left_out(
    inspected: tuple[RuleBook, ItemFacts, Entries], fact: Fact
) -> None:
    book, facts, entries = inspected
    more = replace(facts, assumed=tuple(each for each in Fact if each in {*facts.assumed, fact}))
    if judge(more, entries, book).outcome is Outcome.PASS:
        assert judge(facts, entries, book).outcome is Outcome.PASS


@UNTIMED
@given(INSPECTED, st.sampled_from(Check))
def test_a_reason_makes_a_pass_only_where_the_book_lets_the_check_be_left_out(
    inspected: tuple[RuleBook, ItemFacts, Entries], check: Check
) -> None:
    book, facts, entries = inspected
    said = replace(entries, left_out={**entries.left_out, check: "cannot be done here"})
    before = judge(facts, replace(entries, left_out={k: v for k, v in said.left_out.items() if k is not check}), book)
    after = judge(facts, said, book)
    if after.outcome is Outcome.PASS and before.outcome is not Outcome.PASS:
        assert after.left_out[check] == "cannot be done here"
        assert check in {Check.EARTH_CONTINUITY, Check.FUNCTIONAL}
        assert not facts.equipment_type.is_lead


@pytest.mark.parametrize("book", [GB, EU, ANZ], ids=lambda book: book.id)
@pytest.mark.parametrize("facts", [PLAIN, LAMP, LEAD], ids=["class-1", "class-2", "with-rcd"])
def test_nothing_that_came_out_bad_can_be_taken_away_into_a_pass(facts: ItemFacts, book: RuleBook) -> None:
    sound = ALL_SOUND if facts.rcd else replace(ALL_SOUND, rcd_trips={}, rcd_button=None)
    bad = [
        beside(sound, check, typed)
        for check, choices in BESIDE.items()
        for typed in choices
        if facts.rcd or check not in RCD_CHECKS
    ]
    bad += [replace(sound, **{answer: False}) for answer in ("functional", "polarity")]
    for entries in bad:
        before = judge(facts, entries, book).outcome
        for check in Check:
            for at in range(entries.count(check)):
                after = judge(facts, without_reading(entries, check, at), book).outcome
                assert after is not Outcome.PASS or before is Outcome.PASS, (check, entries)


def test_an_optional_check_that_failed_cannot_be_emptied_into_a_pass() -> None:
    failed = replace(SOUND, leakage=milliamps("9"))
    assert judge(PLAIN, failed, GB).outcome is Outcome.FAIL
    emptied = judge(PLAIN, without_check(failed, Check.LEAKAGE), GB)
    assert (emptied.outcome, emptied.missing) == (Outcome.INCOMPLETE, (Check.LEAKAGE,))
    assert "once begun, or failed before, it is asked for" in of(Check.LEAKAGE, emptied).arithmetic
    again = replace(without_check(failed, Check.LEAKAGE), leakage=milliamps("0.2"))
    assert judge(PLAIN, again, GB).outcome is Outcome.PASS


def test_insulation_that_failed_is_not_replaced_by_leakage_once_it_is_emptied() -> None:
    failed = replace(SOUND, insulation=megohms("0.2"), leakage=milliamps("0.1"))
    emptied = judge(PLAIN, without_check(failed, Check.INSULATION), GB)
    assert (emptied.outcome, emptied.missing) == (Outcome.INCOMPLETE, (Check.INSULATION,))


def test_an_optional_measurement_that_replaces_nothing_is_done_once_it_is_read() -> None:
    # Touch current on Class I says too little to stand for insulation, but it is what was begun.
    entries = replace(SOUND, leakage=milliamps("0.1"), begun={Check.LEAKAGE: 1})
    assert judge(PLAIN, entries, GB).outcome is Outcome.PASS


def test_of_two_readings_side_by_side_neither_can_be_taken_away() -> None:
    both = beside(replace(SOUND, rcd_button=True), Check.RCD_1X, "20/400")
    assert judge(LEAD, both, GB).outcome is Outcome.FAIL
    one = judge(LEAD, without_reading(both, Check.RCD_1X, 1), GB)
    assert one.outcome is Outcome.INCOMPLETE
    assert "2 readings stood side by side before, now 1" in of(Check.RCD_1X, one).arithmetic
    assert judge(LEAD, without_reading(both, Check.RCD_1X, 0), GB).outcome is Outcome.FAIL


@pytest.mark.parametrize("book", [GB, EU, ANZ], ids=lambda book: book.id)
def test_earth_continuity_is_left_out_with_its_reason_and_the_pass_says_so(book: RuleBook) -> None:
    entries = replace(SOUND, earth=None, leakage=milliamps("0.1"), left_out={Check.EARTH_CONTINUITY: NO_METAL})
    judgement = judge(PLAIN, entries, book)
    assert (judgement.outcome, judgement.left_out) == (Outcome.PASS, {Check.EARTH_CONTINUITY: NO_METAL})
    finding = of(Check.EARTH_CONTINUITY, judgement)
    assert (finding.result, finding.arithmetic) == (CheckResult.NOT_DONE, f"left out: {NO_METAL}")
    opened = judge(PLAIN, replace(entries, left_out={}), book)
    assert (opened.outcome, opened.missing) == (Outcome.INCOMPLETE, (Check.EARTH_CONTINUITY,))


@pytest.mark.parametrize(
    ("facts", "entries", "check", "why"),
    [
        (PLAIN, replace(SOUND, visual=None), Check.VISUAL, "rule book gb does not let it be left out here"),
        (PLAIN, replace(SOUND, insulation=None), Check.INSULATION, "rule book gb does not let it be left out here"),
        (LEAD, replace(SOUND, rcd_button=True), Check.RCD_1X, "rule book gb does not let it be left out here"),
        (
            replace(PLAIN, assumed=(Fact.CLASS,)),
            replace(SOUND, earth=None),
            Check.EARTH_CONTINUITY,
            "only if it is Class I: confirm or change",
        ),
        (
            PLAIN,
            without_check(replace(SOUND, functional=False), Check.FUNCTIONAL),
            Check.FUNCTIONAL,
            "it was begun, or has failed before: take it again",
        ),
        (
            replace(PLAIN, scope="medical"),
            replace(SOUND, earth=None),
            Check.EARTH_CONTINUITY,
            "rule book gb does not let it be left out here",
        ),
    ],
    ids=["look", "insulation", "trip", "class assumed", "begun", "out of scope"],
)
def test_what_decides_safety_is_not_left_out_and_the_finding_says_why(
    facts: ItemFacts, entries: Entries, check: Check, why: str
) -> None:
    judgement = judge(facts, replace(entries, left_out={check: "no time"}), GB)
    assert (judgement.outcome, judgement.left_out) == (Outcome.INCOMPLETE, {})
    assert check in judgement.missing
    assert of(check, judgement).arithmetic == f"left out: no time, but {why}"


HOUSE = """
title = "House"
[may-be-left-out.class-1]
source = "House rules"
basis = "common practice"
value = ["leakage"]
"""


@pytest.mark.parametrize(("insulation", "outcome"), [(">299", Outcome.PASS), ("OL", Outcome.INCOMPLETE)])
def test_leakage_is_left_out_by_a_house_rule_only_where_insulation_passes(insulation: str, outcome: Outcome) -> None:
    book = load_rule_book("eu", HOUSE)
    entries = replace(SOUND, insulation=megohms(insulation), left_out={Check.LEAKAGE: "no leakage meter at hand"})
    assert judge(PLAIN, entries, book).outcome is outcome
    assert judge(PLAIN, entries, EU).outcome is Outcome.INCOMPLETE


def test_a_reason_beside_a_reading_changes_nothing_and_one_for_what_nobody_asks_is_told() -> None:
    bad = replace(SOUND, earth=EarthEntry(reading=parse_reading("9", Unit.OHM)))
    assert judge(PLAIN, replace(bad, left_out={Check.EARTH_CONTINUITY: NO_METAL}), GB).outcome is Outcome.FAIL
    idle = judge(PLAIN, replace(SOUND, left_out={Check.LEAKAGE: "no meter"}), GB)
    assert idle.outcome is Outcome.PASS
    assert "leakage is not asked of such an item: nothing had to be left out" in idle.advice


def test_a_failure_still_fails_beside_what_is_left_out() -> None:
    leaking = LeakageEntry(reading=parse_reading("9", Unit.MILLIAMP))
    entries = replace(SOUND, functional=None, leakage=leaking, left_out={Check.FUNCTIONAL: "no water here"})
    assert judge(PLAIN, entries, GB).outcome is Outcome.FAIL
