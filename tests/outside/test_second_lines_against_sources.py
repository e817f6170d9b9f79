"""Metal that nothing earths on Class I, and the functional earth of Class II: what is asked of them, and by which limit."""

from decimal import Decimal
from itertools import product

import pytest
from msgspec.structs import replace

from appreg.core.judging.begun_checks import to_repeat
from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, Fact, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.contradictions import contradiction
from appreg.core.rules.required_checks import fails_on_sight, methods_accepted, methods_instead, required_checks
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.second_lines import LINE_OF
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading
from tests.core.taking_away import without_check
from tests.outside.checked_values import BOOKS, Checked, case_name, cases
from tests.outside.electrical_rows import COMMON, MEMORY, SECOND_HAND, item, limit_row

METAL, FUNCTION = Check.UNEARTHED_INSULATION, Check.FUNCTIONAL_EARTH_INSULATION
METAL_MA, FUNCTION_MA = Check.UNEARTHED_CURRENT, Check.FUNCTIONAL_EARTH_CURRENT
UNEARTHED = replace(item("1"), unearthed_metal=True)
FUNCTIONAL = replace(item("2"), functional_earth=True)
AS_CLASS_2 = "touchable metal without earth is protected as Class II"
EN = "EN 50699:2020, Class II and unearthed touchable parts of Class I"
IEC = "IEC 61140, functional earth of Class II"


def second(facts: ItemFacts, readings: dict[Check, str], *, volts: int | None = 500) -> Entries:
    """A sound item, with these readings on its second line."""
    typed = {check: parse_reading(each, UNIT_OF_CHECK[check]) for check, each in readings.items()}
    insulating = {check: volts for check in typed if check is LINE_OF[check].insulation and volts is not None}
    return replace(sound(facts), second=typed, second_volts=insulating)


def sound(facts: ItemFacts, book: RuleBook | None = None) -> Entries:
    """Every check but those of a second line, as good as an instrument can show it."""
    first = facts.appliance_class.judged_as is ApplianceClass.CLASS_I
    methods = (*methods_instead(facts, book), *methods_accepted(facts, book)) if book else ()
    usual = next(iter(methods), LeakageMethod.PROTECTIVE_CONDUCTOR if first else LeakageMethod.TOUCH)
    megohms = parse_reading(">299", Unit.MEGOHM)
    return Entries(
        visual=True,
        earth=EarthEntry(reading=parse_reading("0.01", Unit.OHM)) if first else None,
        polarity=True,
        insulation=InsulationEntry(reading=megohms, volts=250 if facts.unsuitable_500v else 500),
        leakage=LeakageEntry(reading=parse_reading("0.01", Unit.MILLIAMP), method=usual),
        functional=True,
        rcd_button=True if facts.rcd else None,
        rcd_trips={
            check: None if check is Check.RCD_HALF else parse_reading("20", Unit.MILLISECOND)
            for check in (Check.RCD_HALF, Check.RCD_1X, Check.RCD_5X)
        }
        if facts.rcd
        else {},
    )


def asks(book: str, key: str, facts: ItemFacts, checks: str, *, source: str, basis: str) -> Checked:
    """Of the second line exactly these checks are asked."""

    def run(rules: RuleBook) -> None:
        assert " ".join(check for check in required_checks(facts, rules) if check in LINE_OF) == checks

    return Checked(book=book, keys=(key,), expected=f"{key}: {checks}", source=source, basis=basis, run=run)


def stands(book: str, key: str, facts: ItemFacts, check: Check, *, source: str, basis: str) -> Checked:
    """The current alone may stand for the insulation of the second line."""

    def run(rules: RuleBook) -> None:
        assert judge(facts, second(facts, {check: "0.01"}), rules).outcome is Outcome.PASS
        assert judge(facts, sound(facts), rules).outcome is Outcome.INCOMPLETE

    return Checked(book=book, keys=(key,), expected=f"{key}: {check}", source=source, basis=basis, run=run)


CHECKED = (
    *(
        asks(book, "required.unearthed-metal", UNEARTHED, METAL, source=AS_CLASS_2, basis=COMMON)
        for book in ("gb", "anz")
    ),
    *(
        asks(book, "required.functional-earth", FUNCTIONAL, FUNCTION, source=IEC, basis=MEMORY)
        for book in ("gb", "anz")
    ),
    asks("eu", "required.unearthed-metal", UNEARTHED, f"{METAL} {METAL_MA}", source=EN, basis=MEMORY),
    asks("eu", "required.functional-earth", FUNCTIONAL, f"{FUNCTION} {FUNCTION_MA}", source=IEC, basis=MEMORY),
    asks(
        "eu",
        "required.left-out-unsuitable",
        replace(UNEARTHED, unsuitable_500v=True),
        METAL_MA,
        source="EN 50699: insulation is the check that may be left out",
        basis=MEMORY,
    ),
    *(
        stands(book, key, facts, check, source=AS_CLASS_2, basis=COMMON)
        for book in ("gb", "anz")
        for key, facts, check in (
            ("instead.unearthed-metal", UNEARTHED, METAL_MA),
            ("instead.functional-earth", FUNCTIONAL, FUNCTION_MA),
        )
    ),
    *(
        limit_row(book, (key,), check, facts, low=low, high=high, source=source, basis=basis)
        for book, megohms, milliamps, source, basis in (
            ("gb", "2", "0.25", AS_CLASS_2, COMMON),
            ("eu", "2", "0.5", EN, SECOND_HAND),
            ("anz", "1", "1", AS_CLASS_2, COMMON),
        )
        for key, check, facts, low, high in (
            ("insulation.unearthed-metal.least", METAL, UNEARTHED, megohms, ""),
            ("leakage.touch.unearthed-metal", METAL_MA, UNEARTHED, "", milliamps),
        )
    ),
    *(
        limit_row(book, (key,), check, FUNCTIONAL, low=low, high=high, source=IEC, basis=MEMORY)
        for book, megohms, milliamps in (("gb", "2", "0.25"), ("eu", "2", "0.5"), ("anz", "1", "1"))
        for key, check, low, high in (
            ("insulation.functional-earth.least", FUNCTION, megohms, ""),
            ("leakage.touch.functional-earth", FUNCTION_MA, "", milliamps),
        )
    ),
)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_the_books_ask_of_the_second_line_what_the_sources_ask(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


def of(check: Check, facts: ItemFacts, entries: Entries, book: str = "gb") -> Finding:
    return next(each for each in judge(facts, entries, load_rule_book(book)).findings if each.check is check)


@pytest.mark.parametrize("book_id", BOOKS)
@pytest.mark.parametrize(("facts", "line"), [(UNEARTHED, METAL), (FUNCTIONAL, FUNCTION)], ids=str)
def test_an_item_sound_on_its_own_line_passes_only_with_its_second(facts: ItemFacts, line: Check, book_id: str) -> None:
    book = load_rule_book(book_id)
    own = judge(facts, sound(facts), book)
    assert (own.outcome, own.missing[0]) == (Outcome.INCOMPLETE, line)
    readings = {line: ">299", LINE_OF[line].current: "0.01"}
    assert judge(facts, second(facts, readings), book).outcome is Outcome.PASS
    # 1.9 MΩ meets Class I and not Class II in gb and eu; 0.9 MΩ neither anywhere.
    low = judge(facts, second(facts, {**readings, line: "0.9"}), book)
    assert low.outcome is Outcome.FAIL
    assert low.closed[Check.FUNCTIONAL] is line


def test_the_second_line_is_measured_at_the_voltage_of_the_book() -> None:
    assert of(METAL, UNEARTHED, second(UNEARTHED, {METAL: ">299"}, volts=250)).result is CheckResult.INCONCLUSIVE
    delicate = replace(UNEARTHED, unsuitable_500v=True)
    assert of(METAL, delicate, second(delicate, {METAL: ">299"}, volts=250)).result is CheckResult.PASS
    assert of(METAL, delicate, second(delicate, {METAL: ">299"}, volts=None)).result is CheckResult.INCONCLUSIVE


def test_of_several_readings_of_a_second_line_the_worst_decides() -> None:
    entries = second(UNEARTHED, {METAL_MA: "0.1"})
    both = tuple(parse_reading(each, Unit.MILLIAMP) for each in ("0.1", "0.3"))
    finding = of(METAL_MA, UNEARTHED, replace(entries, several={METAL_MA: both}))
    assert (finding.result, finding.readings) == (CheckResult.FAIL, ("0.1", "0.3"))


def test_a_reading_of_a_second_line_that_is_taken_away_or_has_failed_stays_asked_for() -> None:
    # Common practice: the other of the two passes nothing once the one was begun or has failed.
    book = load_rule_book("gb")
    both = second(UNEARTHED, {METAL: ">299", METAL_MA: "0.3"})
    assert judge(UNEARTHED, without_check(both, METAL_MA), book).missing == (METAL_MA,)
    assert to_repeat([METAL_MA], UNEARTHED, book) == {METAL_MA: 1}
    assert to_repeat([METAL_MA], item("1"), book) == {}


def test_an_item_of_class_not_known_gets_both_lines() -> None:
    facts = replace(item("unknown"), unearthed_metal=True, functional_earth=True)
    assert {METAL, FUNCTION} <= set(required_checks(facts, load_rule_book("gb")))


@pytest.mark.parametrize("fact", [Fact.CLASS, Fact.CONNECTION, Fact.UNEARTHED_METAL, Fact.FUNCTIONAL_EARTH])
def test_what_is_assumed_spares_no_second_line(fact: Fact) -> None:
    for facts in (
        replace(item("2"), unearthed_metal=True, assumed=(Fact.CLASS,)),
        replace(UNEARTHED, connection=Connection.BATTERY, assumed=(Fact.CONNECTION,)),
        replace(UNEARTHED, assumed=(fact,)),
    ):
        assert METAL in judge(facts, sound(facts), load_rule_book("gb")).missing


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (replace(item("1"), functional_earth=True), "functional earth"),
        (replace(FUNCTIONAL, connection=Connection.BATTERY), "functional earth on a battery"),
        (replace(item("2", "cord-set"), functional_earth=True), "cord set with a functional earth"),
        (replace(item("3"), phases=3), "Class III with 3 phases"),
        (item("3", "cord-set"), "cord set of Class III; Class I is one of three cores, Class II of two"),
        (replace(item("2"), connection=Connection.BATTERY, phases=3), "on a battery with 3 phases"),
        (item("1", mineral=True), "mineral-insulated elements in what does not heat"),
        (replace(item("1", "extension-lead"), microwave=True), "extension lead that is a microwave oven"),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)
@pytest.mark.parametrize("book_id", BOOKS)
def test_facts_that_contradict_each_other_never_pass(facts: ItemFacts, words: str, book_id: str) -> None:
    entries = replace(second(facts, dict.fromkeys((METAL, FUNCTION), ">299")), microwave=None)
    judgement = judge(facts, entries, load_rule_book(book_id))
    assert judgement.outcome is not Outcome.PASS
    assert words in judgement.findings[0].arithmetic


def test_a_rated_residual_current_without_a_kind_asks_for_its_trip_test() -> None:
    # A device of a kind that nobody stated is tested at 1 × IΔn and its button (memory), and no time can be judged.
    for book_id in BOOKS:
        judgement = judge(item("1", rating="30"), sound(item("1")), load_rule_book(book_id))
        assert Check.RCD_1X in judgement.missing, book_id


def test_an_assumed_device_of_anz_is_timed_as_the_stricter_of_its_kinds() -> None:
    # Up to 10 mA within 30 ms, above it within 300 ms at IΔn (AS/NZS 3760; the cautious of two readings).
    lead = replace(item("1", "extension-lead"), rcd=RcdKind.ANZ_2)
    times = {Check.RCD_HALF: None, Check.RCD_1X: "45", Check.RCD_5X: "30"}
    timed = replace(
        sound(lead),
        rcd_trips={check: parse_reading(ms, Unit.MILLISECOND) if ms else None for check, ms in times.items()},
    )
    assert of(Check.RCD_1X, lead, timed, "anz").result is CheckResult.PASS
    finding = of(Check.RCD_1X, replace(lead, assumed=(Fact.RCD,)), timed, "anz")
    assert (finding.result, finding.limit_high) == (CheckResult.INCONCLUSIVE, Decimal(30))


def test_lines_linked_on_one_phase_prove_nothing() -> None:
    linked = replace(sound(UNEARTHED), insulation=replace(sound(UNEARTHED).insulation, lines_linked=True))  # type: ignore[type-var]
    assert of(Check.INSULATION, item("1"), linked).result is CheckResult.INCONCLUSIVE
    assert of(Check.INSULATION, replace(item("1"), phases=3), linked).result is CheckResult.PASS


KINDS = tuple(
    replace(
        item(one, kind.value),
        connection=connection,
        unearthed_metal=metal,
        functional_earth=function,
        unsuitable_500v=delicate,
        rcd=device,
    )
    for one, kind, connection, metal, function, delicate, device in product(
        ("1", "2", "3", "unknown"),
        EquipmentType,
        Connection,
        (False, True),
        (False, True),
        (False, True),
        (None, RcdKind.PORTABLE),
    )
)


@pytest.mark.parametrize("book_id", BOOKS)
def test_whatever_the_facts_a_sound_item_can_be_finished_unless_they_contradict_each_other(book_id: str) -> None:
    # Common practice: what is asked can be answered; two cores that fail on sight, and contradictions, are told.
    book = load_rule_book(book_id)
    for facts in KINDS:
        needed = required_checks(facts, book)
        readings = {
            check: "0.01" if UNIT_OF_CHECK[check] is Unit.MILLIAMP else ">299" for check in LINE_OF if check in needed
        }
        entries = second(facts, readings, volts=250 if facts.unsuitable_500v else 500)
        own = sound(facts, book)
        entries = replace(own, second=entries.second, second_volts=entries.second_volts)
        if Check.LEAKAGE not in needed:
            entries = replace(entries, leakage=None)
        if Check.INSULATION not in needed:
            entries = replace(entries, insulation=None)
        judgement = judge(facts, entries, book)
        assert judgement.missing == () or contradiction(facts), facts
        expected = (
            Outcome.FAIL
            if fails_on_sight(facts, book)
            else Outcome.INCOMPLETE
            if contradiction(facts)
            else Outcome.PASS
        )
        assert judgement.outcome is expected, (facts, judgement)
