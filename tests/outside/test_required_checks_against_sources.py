"""What each book asks of each kind of item, what may stand for what, and what a failure closes."""

from collections.abc import Callable
from functools import partial
from itertools import product

import pytest

from appreg.core.appliances import ApplianceClass, Connection, Fact, ItemFacts
from appreg.core.category_defaults import category_defaults
from appreg.core.check_limits import UNIT_OF_CHECK
from appreg.core.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.contradictions import contradiction
from appreg.core.item_facts import facts_of
from appreg.core.lean_dataclasses import replace
from appreg.core.outcomes import CheckResult, Outcome
from appreg.core.provenance import given_by
from appreg.core.readings import Unit, parse_reading
from appreg.core.records import Appliance, AssetTag, Category
from appreg.core.required_checks import closed_by_failure, methods_accepted, methods_instead, required_checks
from appreg.core.rule_book import RuleBook
from appreg.core.rule_book_loading import load_rule_book
from appreg.core.second_lines import LINE_OF
from appreg.core.uids import Uid
from appreg.core.verdicts import judge
from tests.outside.checked_values import BOOKS, Checked, case_name, cases
from tests.outside.electrical_rows import COMMON, MEMORY, SECOND_HAND, found, item

COP, EN, ANZ = "CoP ch. 15", "EN 50699, second reading", "AS/NZS 3760"
LOOK_AND_FUNCTION = "look and function; the charger is an item of its own"
MAINS = "leakage unearthed-touch-current functional-earth-current functional rcd-0.5x rcd-1x rcd-2x rcd-5x rcd-button microwave"
NZ = "Electricity (Safety) Regulations 2010 r. 24(3)"


def needs(book: str, key: str, facts: ItemFacts, checks: str, *, source: str, basis: str) -> Checked:
    """Such an item needs exactly these checks."""

    def run(rules: RuleBook) -> None:
        assert " ".join(required_checks(facts, rules)) == checks

    return Checked(
        book=book, keys=(f"required.{key}",), expected=f"{key}: {checks}", source=source, basis=basis, run=run
    )


def says(book: str, key: str, read: Callable[[RuleBook], object], expected: str, *, source: str, basis: str) -> Checked:
    """The book's answer to a question, in words."""

    def run(rules: RuleBook) -> None:
        assert read(rules) == expected

    return Checked(book=book, keys=(key,), expected=f"{key}: {expected}", source=source, basis=basis, run=run)


def instead(appliance_class: str, rules: RuleBook) -> str:
    return " ".join(methods_instead(item(appliance_class), rules))


def accepted(appliance_class: str, rules: RuleBook) -> str:
    return " ".join(methods_accepted(item(appliance_class), rules))


def closes(rules: RuleBook) -> str:
    bad = found(
        Check.INSULATION,
        item("2"),
        Entries(insulation=InsulationEntry(reading=parse_reading("0.1", Unit.MEGOHM))),
        rules,
    )
    return " ".join(closed_by_failure([bad], rules, LeakageMethod.TOUCH))


def two_cores_seen(rules: RuleBook) -> str:
    return found(Check.VISUAL, item("2", "extension-lead"), Entries(visual=True), rules).result.value


def device(kind: str, rules: RuleBook) -> str:
    return " ".join(each for each in required_checks(item(rcd=kind), rules) if each.startswith("rcd"))


FIRST, SECOND, LEAD = item("1"), item("2"), item("1", "extension-lead")
BATTERY = replace(item("2", "hand-held"), connection=Connection.BATTERY)
OVEN = replace(SECOND, microwave=True)
TWO_CORES = item("2", "cord-set")
CHECKED = (
    needs("gb", "class-1", FIRST, "visual earth-continuity insulation functional", source=COP, basis=SECOND_HAND),
    needs("gb", "class-2", SECOND, "visual insulation functional", source=COP, basis=SECOND_HAND),
    needs("gb", "cord-set", item("1", "cord-set"), "visual earth-continuity polarity insulation", source=COP, basis=SECOND_HAND),
    needs("gb", "extension-lead", LEAD, "visual earth-continuity polarity insulation", source="CoP 15.10", basis=SECOND_HAND),
    needs("gb", "cord-set-two-core", TWO_CORES, "visual polarity insulation", source="two-core cord set", basis=COMMON),
    needs("anz", "class-1", FIRST, "visual earth-continuity insulation functional", source=ANZ, basis=MEMORY),
    needs("anz", "class-2", SECOND, "visual insulation functional", source=ANZ, basis=MEMORY),
    needs("anz", "cord-set", item("1", "cord-set"), "visual earth-continuity polarity insulation", source=ANZ, basis=MEMORY),
    needs("anz", "extension-lead", LEAD, "visual earth-continuity polarity insulation", source=ANZ, basis=MEMORY),
    needs("anz", "cord-set-two-core", TWO_CORES, "visual polarity insulation", source="two-core cord set", basis=COMMON),
    needs("eu", "class-1", FIRST, "visual earth-continuity insulation leakage functional", source=EN, basis=MEMORY),
    needs("eu", "class-2", SECOND, "visual insulation leakage functional", source=EN, basis=MEMORY),
    needs("eu", "cord-set", item("1", "cord-set"), "visual earth-continuity insulation", source=EN, basis=MEMORY),
    needs("eu", "cord-set-two-core", TWO_CORES, "visual insulation", source=EN, basis=MEMORY),
    needs("eu", "extension-lead", LEAD, "visual earth-continuity insulation", source=EN, basis=MEMORY),
    needs(
        "eu", "left-out-unsuitable", replace(SECOND, unsuitable_500v=True), "visual leakage functional", source=EN, basis=MEMORY
    ),
    needs("*", "class-3", item("3"), "visual functional", source=LOOK_AND_FUNCTION, basis=COMMON),
    needs("*", "battery", BATTERY, "visual functional", source=LOOK_AND_FUNCTION, basis=COMMON),
    needs("*", "extension-lead-two-core", item("2", "extension-lead"), "visual", source="fails on sight", basis=COMMON),
    needs(
        "*", "out-of-scope", replace(FIRST, scope="a standard of its own"), "visual earth-continuity", source="out of scope: look and earth", basis=MEMORY
    ),
    *(
        needs(book, "microwave", OVEN, f"visual insulation {leakage}functional microwave", source="IEC 60335-2-25", basis=COMMON)
        for book, leakage in (("gb", ""), ("eu", "leakage "), ("anz", ""))
    ),
    *(
        needs(book, "rcd", replace(SECOND, is_rcd=True), f"visual insulation {leakage}functional rcd-1x rcd-button", source="1 × IΔn and the test button", basis=MEMORY)
        for book, leakage in (("gb", ""), ("eu", "leakage "), ("anz", ""))
    ),
    *(
        says(book, f"instead.insulation.class-{one}", partial(instead, one), said, source=source, basis=basis)
        for book, one, said, source, basis in (
            ("gb", "1", "protective-conductor substitute", COP, SECOND_HAND),
            ("gb", "2", "touch substitute", COP, SECOND_HAND),
            ("anz", "1", "protective-conductor", ANZ, MEMORY),
            ("anz", "2", "touch", ANZ, MEMORY),
        )
    ),
    *(
        says("eu", f"accepted.leakage.class-{one}", partial(accepted, one), said, source=EN, basis=MEMORY)
        for one, said in (("1", "protective-conductor substitute"), ("2", "touch substitute"))
    ),
    says("*", "inspection.closed-by-insulation", closes, MAINS, source="what a failure closes", basis=COMMON),
    says("*", "inspection.fails-on-sight", two_cores_seen, "fail", source="two-core extension lead", basis=COMMON),
    says(
        "*", "inspection.energised", lambda rules: " ".join(rules.figures["inspection.energised"].words), MAINS,
        source="safe working", basis=COMMON,
    ),
    *(
        says("*", f"rcd.{kind}.required", partial(device, kind), "rcd-1x rcd-button", source="wiring rules since 2022", basis=MEMORY)
        for kind in ("general", "s", "bs4293", "portable")
    ),
    *(
        says("anz", f"rcd.{kind}.required", partial(device, kind), "rcd-0.5x rcd-1x rcd-5x", source=NZ, basis=SECOND_HAND)
        for kind in ("anz-1", "anz-2")
    ),
)  # fmt: skip


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_the_books_ask_what_the_sources_ask(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


CATEGORIES = tuple(each.as_category(Uid("0" * 26)) for each in category_defaults())
CLASSES = (None, *ApplianceClass)


def item_of(category: Category, appliance_class: ApplianceClass | None) -> ItemFacts:
    """An item with what its category gives, all of it assumed, or with its class read."""
    kept = Appliance(
        uid=Uid("1" * 26),
        site=Uid("2" * 26),
        location=Uid("3" * 26),
        category=category.uid,
        tag=AssetTag("HR-001"),
        name=category.name,
        appliance_class=appliance_class or category.appliance_class,
        equipment_type=category.equipment_type,
        cord_csa_mm2=category.cord_csa_mm2,
        cord_length_m=category.cord_length_m,
        fuse_a=category.fuse_a,
        power_w=category.power_w,
        heating=category.heating,
        microwave=category.microwave,
        unsuitable_500v=category.unsuitable_500v,
        battery=category.battery,
        rcd=category.rcd,
        rcd_rating_ma=category.rcd_rating_ma,
        rcd_mounting=category.rcd_mounting,
        connection=category.connection,
    )
    facts = facts_of(kept, category)
    return replace(
        facts, assumed=tuple(f for f in given_by(category) if appliance_class is None or f is not Fact.CLASS)
    )


def sound(facts: ItemFacts, book: RuleBook) -> Entries:
    """Every check an item could need, each as good as an instrument can show it."""
    first = LeakageMethod.PROTECTIVE_CONDUCTOR
    usual = (*methods_instead(facts, book), *methods_accepted(facts, book), first)[0]
    delicate = facts.unsuitable_500v
    needed = required_checks(facts, book)
    return Entries(
        visual=True,
        earth=EarthEntry(reading=parse_reading("0.01", Unit.OHM)) if Check.EARTH_CONTINUITY in needed else None,
        polarity=True if Check.POLARITY in needed else None,
        insulation=InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM), volts=250 if delicate else 500)
        if Check.INSULATION in needed
        else None,
        leakage=LeakageEntry(reading=parse_reading("0.01", Unit.MILLIAMP), method=usual)
        if Check.LEAKAGE in needed
        else None,
        functional=True,
        rcd_trips={
            each: None if each is Check.RCD_HALF else parse_reading("20", Unit.MILLISECOND)
            for each in needed
            if each.startswith("rcd") and each is not Check.RCD_BUTTON
        },
        rcd_button=True,
        microwave=parse_reading("0.1", Unit.MILLIWATT_PER_CM2) if facts.microwave else None,
        second={
            check: parse_reading(">299" if check is line.insulation else "0.01", UNIT_OF_CHECK[check])
            for check, line in LINE_OF.items()
            if check in needed
        },
        second_volts={line.insulation: 250 if delicate else 500 for line in LINE_OF.values()},
    )


@pytest.mark.parametrize("book_id", BOOKS)
@pytest.mark.parametrize("category", CATEGORIES, ids=lambda each: each.code)
def test_every_kind_of_item_can_be_finished_in_every_book_and_none_by_what_is_assumed(
    category: Category, book_id: str
) -> None:
    # Common practice: a sound item passes once its facts are read; the row that asks names its source and basis.
    book = load_rule_book(book_id)
    for appliance_class, (metal, function) in product(CLASSES, ((False, False), (True, False), (False, True))):
        facts = replace(item_of(category, appliance_class), unearthed_metal=metal, functional_earth=function)
        needed = required_checks(replace(facts, assumed=()), book)
        assert Check.VISUAL in needed
        entries = sound(facts, book)
        read = judge(replace(facts, assumed=()), entries, book)
        against = contradiction(replace(facts, assumed=()))
        assert read.missing == () or against, (appliance_class, read.missing)
        fails = facts.equipment_type == "extension-lead" and facts.appliance_class is ApplianceClass.CLASS_II
        unknown_kind = facts.rcd is not None and book.find(f"rcd.{facts.rcd}.1x.most") is None
        unsure = unknown_kind or against
        assert read.outcome is (Outcome.FAIL if fails else Outcome.INCOMPLETE if unsure else Outcome.PASS)
        assumed = judge(facts, entries, book)
        for finding in assumed.findings:
            own = next((each for each in read.findings if each.check is finding.check), None)
            if own is not None and own.limit_high is not None and finding.limit_high is not None:
                assert finding.limit_high <= own.limit_high
            if own is not None and own.limit_low is not None and finding.limit_low is not None:
                assert finding.limit_low >= own.limit_low
            assert finding.result is not CheckResult.PASS or own is None or own.result is CheckResult.PASS


@pytest.mark.parametrize("category", CATEGORIES, ids=lambda each: each.code)
def test_no_category_raises_advice_on_fuse_or_flex_against_its_own_defaults(category: Category) -> None:
    # Common practice: what only a category says, nobody has found.
    facts = item_of(category, None)
    said = judge(facts, Entries(), load_rule_book("gb")).advice
    assert [each for each in said if any(word in each for word in ("fuse", "flex", "recommended", "plug"))] == []


@pytest.mark.parametrize(
    "changed",
    [
        {"rated_volts": 110},
        {"phases": 3},
        {"connection": Connection.HARD_WIRED},
        {"connection": Connection.INDUSTRIAL},
        {"connection": Connection.BATTERY},
    ],
    ids=str,
)
def test_no_plug_fuse_is_spoken_of_where_there_is_none(changed: dict[str, int | Connection]) -> None:
    # BS 1363 plugs are for single-phase mains (common practice); 110 V, memory.
    facts = replace(item(kw="0.65", fuse="13"), **changed)  # type: ignore[arg-type]
    assert not any("fuse" in each for each in judge(facts, Entries(), load_rule_book("gb")).advice)
