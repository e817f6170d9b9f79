"""Every category of the list, as every class, in every book: what is required, the strictest limit, and that it can be finished."""

from decimal import Decimal
from itertools import product
from typing import Final

import pytest
from msgspec import Struct
from msgspec.structs import replace

from appreg.core.judging.verdicts import Judgement, judge
from appreg.core.records.appliances import ApplianceClass, Connection, Fact, ItemFacts
from appreg.core.records.category_defaults import category_defaults
from appreg.core.records.checks import Entries
from appreg.core.records.findings import Finding
from appreg.core.records.kept_records import Appliance, AssetTag, Category
from appreg.core.records.provenance import given_by
from appreg.core.rules.contradictions import contradiction
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.required_checks import required_checks, requirement_of
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.uids import Uid
from tests.outside.checked_values import BOOKS
from tests.outside.electrical_rows import COMMON, MEMORY, SECOND_HAND, item, sound


class Row(Struct, frozen=True):
    """What a source has of items of a kind, or of a check."""

    says: str
    source: str
    basis: str


LOOK, TWO = "look and function", "leads of two cores"
NEEDED: Final = {
    ("gb", "class-1"): Row("visual earth-continuity insulation functional", "CoP ch. 15", SECOND_HAND),
    ("gb", "class-2"): Row("visual insulation functional", "CoP ch. 15", SECOND_HAND),
    ("gb", "lead"): Row("visual earth-continuity polarity insulation", "CoP 15.10", SECOND_HAND),
    ("gb", "two-core cord set"): Row("visual polarity insulation", TWO, COMMON),
    ("eu", "class-1"): Row("visual earth-continuity insulation leakage functional", "EN 50699", MEMORY),
    ("eu", "class-2"): Row("visual insulation leakage functional", "EN 50699", MEMORY),
    ("eu", "lead"): Row("visual earth-continuity insulation", "EN 50699", MEMORY),
    ("eu", "two-core cord set"): Row("visual insulation", TWO, COMMON),
    ("anz", "class-1"): Row("visual earth-continuity insulation functional", "AS/NZS 3760", MEMORY),
    ("anz", "class-2"): Row("visual insulation functional", "AS/NZS 3760", MEMORY),
    ("anz", "lead"): Row("visual earth-continuity polarity insulation", "AS/NZS 3760", MEMORY),
    ("anz", "two-core cord set"): Row("visual polarity insulation", TWO, COMMON),
    **{(book, "class-3"): Row("visual functional", LOOK, COMMON) for book in BOOKS},
    **{(book, "battery"): Row("visual functional", LOOK, COMMON) for book in BOOKS},
    **{(book, "two-core extension"): Row("visual", "it fails on sight", COMMON) for book in BOOKS},
}
"""By book and kind: what such an item needs."""
TRIPS: Final = {
    "gb": Row("rcd-1x rcd-button", "wiring rules since 2022, and the test button", MEMORY),
    "eu": Row("rcd-1x rcd-button", "wiring rules since 2022, and the test button", MEMORY),
    "anz": Row("rcd-0.5x rcd-1x rcd-5x", "Electricity (Safety) Regulations 2010 (NZ) r. 24(3)", SECOND_HAND),
}
"""What a residual current device needs beside."""
WITHOUT_500_V: Final = {
    "gb": Row("leakage", "CoP ch. 15: leakage in place of insulation", SECOND_HAND),
    "eu": Row("", "EN 50699: insulation left out where leakage is measured", MEMORY),
    "anz": Row("leakage", "AS/NZS 3760: leakage in place of insulation", MEMORY),
}
"""What stands in place of insulation where 500 V would harm."""
STRICTEST: Final[dict[tuple[str, str, str | None], Row]] = {
    ("gb", "earth-continuity", "1"): Row(
        "0.1", "CoP 15.4: 0.1 Ω and nothing for a cord that nobody has read", SECOND_HAND
    ),
    ("eu", "earth-continuity", "1"): Row("0.3", "EN 50699: the first step, where no cord is known", SECOND_HAND),
    ("eu", "earth-continuity", "1, size assumed"): Row(
        "0.1", "EN 50699: it may be a larger conductor, nothing for a length", MEMORY
    ),
    ("anz", "earth-continuity", "1"): Row("1", "AS/NZS 3760", SECOND_HAND),
    ("gb", "insulation", "1"): Row("1", "CoP Table 15.2, heating of 3 kW not granted", SECOND_HAND),
    ("gb", "insulation", "2"): Row("2", "CoP Table 15.2", SECOND_HAND),
    ("eu", "insulation", "1"): Row("1", "EN 50699, heating not granted", SECOND_HAND),
    ("eu", "insulation", "2"): Row("2", "EN 50699", SECOND_HAND),
    ("anz", "insulation", "1"): Row("1", "AS/NZS 3760", MEMORY),
    ("anz", "insulation", "2"): Row("1", "AS/NZS 3760", MEMORY),
    ("gb", "leakage", "1"): Row("0.75", "CoP Table 15.3: hand-held or portable", SECOND_HAND),
    ("gb", "leakage", "2"): Row("0.25", "CoP Table 15.3", SECOND_HAND),
    ("eu", "leakage", "1"): Row("3.5", "EN 50699, power of heating not granted", SECOND_HAND),
    ("eu", "leakage", "2"): Row("0.5", "EN 50699", SECOND_HAND),
    ("anz", "leakage", "1"): Row("5", "AS/NZS 3760", SECOND_HAND),
    ("anz", "leakage", "2"): Row("1", "AS/NZS 3760", SECOND_HAND),
    **{(book, "rcd-1x", None): Row("200", "BS 7071, shorter than IEC 61540", MEMORY) for book in BOOKS},
    ("anz", "rcd-5x", None): Row("40", "Electricity (Safety) Regulations 2010 (NZ) r. 24(3)", SECOND_HAND),
    ("anz", "rcd-0.5x", None): Row("2000", "0.5 × IΔn held for 2 s", SECOND_HAND),
    **{(book, "microwave", None): Row("5", "IEC 60335-2-25", SECOND_HAND) for book in BOOKS},
}
"""By book, check and class judged as: the limit where all that a category gives is only assumed."""
CATEGORIES = tuple(each.as_category(Uid("0" * 26)) for each in category_defaults())
CLASSES = (None, *ApplianceClass)
"""None: the one that the category gives, assumed with all the rest."""


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


def kind_of(facts: ItemFacts) -> str:
    """What the trade would call the item, as the table of what is needed has it."""
    two_cores = facts.appliance_class is ApplianceClass.CLASS_II
    if facts.equipment_type == "cord-set":
        return "two-core cord set" if two_cores else "lead"
    if facts.equipment_type == "extension-lead":
        return "two-core extension" if two_cores else "lead"
    if facts.connection is Connection.BATTERY:
        return "battery"
    return "class-1" if facts.appliance_class is ApplianceClass.UNKNOWN else f"class-{facts.appliance_class}"


def expected(book_id: str, facts: ItemFacts) -> set[str]:
    """What the sources ask of the item."""
    row = NEEDED[book_id, kind_of(facts)]
    assert row.source
    assert row.basis
    needed = set(row.says.split())
    if facts.scope:
        return needed & {"visual", "earth-continuity"}
    # Insulation goes only where a current takes its place: somewhere something is measured.
    replaced = WITHOUT_500_V[book_id].says or ("leakage" if "leakage" in needed else "")
    if facts.unsuitable_500v and "insulation" in needed and replaced:
        needed = needed - {"insulation"} | {replaced}
    beside = {"microwave"} if facts.microwave else set()
    return needed | beside | (set(TRIPS[book_id].says.split()) if facts.rcd is not None else set())


def honest(facts: ItemFacts) -> ItemFacts:
    """An item fed by no mains, without what only a mains category could have given it."""
    return replace(facts, fuse_a=None, rcd=None, rcd_rating_ma=None, is_rcd=False, rated_volts=None)


def strict_row(book_id: str, finding: Finding, facts: ItemFacts) -> Row | None:
    """The row of the strictest limit of a check; by the class that the item counts as, unless it is one for all."""
    lead = facts.equipment_type.is_lead and kind_of(facts) != "two-core cord set"
    second = facts.appliance_class is ApplianceClass.CLASS_II and not lead
    check = finding.check.value
    if facts.cord is not None and Fact.CORD_SIZE in facts.assumed:
        larger = STRICTEST.get((book_id, check, "1, size assumed"))
        if larger is not None:
            return larger
    return STRICTEST.get((book_id, check, "2" if second else "1")) or STRICTEST.get((book_id, check, None))


def holds_strictly(judgement: Judgement, facts: ItemFacts, book_id: str) -> set[tuple[str, str]]:
    """Compare every limit with the table; the rows that were met."""
    met = set()
    for finding in judgement.findings:
        limit = finding.limit_low if finding.limit_high is None else finding.limit_high
        row = strict_row(book_id, finding, facts)
        if limit is None or row is None:
            assert limit is None, (finding.check, "no row of the table speaks of it")
            continue
        assert limit == Decimal(row.says), (finding.check, row.source)
        assert finding.source
        assert finding.basis
        met.add((finding.check.value, row.says))
    return met


def finish(facts: ItemFacts, book: RuleBook) -> None:
    """A sound item of which everything is read passes; a lead of two cores fails however sound."""
    judgement = judge(facts, sound(facts, book), book)
    assert judgement.missing == ()
    on_sight = kind_of(facts) == "two-core extension"
    assert judgement.outcome is (Outcome.FAIL if on_sight else Outcome.PASS)


@pytest.mark.parametrize("book_id", BOOKS)
@pytest.mark.parametrize("category", CATEGORIES, ids=lambda each: each.code)
def test_every_kind_of_item_is_asked_what_the_sources_ask_and_can_be_finished(category: Category, book_id: str) -> None:
    book = load_rule_book(book_id)
    for appliance_class in CLASSES:
        facts = replace(item_of(category, appliance_class), assumed=())
        assert {check.value for check in required_checks(facts, book)} == expected(book_id, facts), appliance_class
        asks = requirement_of(facts, book)
        assert asks.citation.source
        assert asks.citation.basis
        if not contradiction(facts):
            finish(facts, book)
            continue
        # What cannot be so never passes; put right, it can be finished.
        assert judge(facts, sound(facts, book), book).outcome is not Outcome.PASS
        off_the_mains = honest(facts)
        low = category.rated_volts is not None and category.rated_volts <= 50
        assert facts.appliance_class is ApplianceClass.CLASS_III or facts.connection is Connection.BATTERY or low
        if not contradiction(off_the_mains):
            finish(off_the_mains, book)


@pytest.mark.parametrize("book_id", BOOKS)
@pytest.mark.parametrize("category", CATEGORIES, ids=lambda each: each.code)
def test_every_kind_of_item_is_held_to_the_strictest_limit_while_its_facts_are_assumed(
    category: Category, book_id: str
) -> None:
    book = load_rule_book(book_id)
    for appliance_class in (ApplianceClass.CLASS_I, ApplianceClass.CLASS_II, ApplianceClass.UNKNOWN):
        facts = item_of(category, appliance_class)
        assumed = judge(facts, sound(facts, book), book)
        met = holds_strictly(assumed, facts, book_id)
        if not contradiction(facts):
            # Nobody has read that it runs on a battery: it is asked for what an item with a plug needs.
            plugged = replace(facts, connection=Connection.PLUG)
            assert {check for check, _ in met} == expected(book_id, plugged) & {key[1] for key in STRICTEST}
    # A class that is assumed as well grants nothing: what is only needed as the other class is asked for.
    facts = item_of(category, None)
    wholly, read = (judge(each, sound(facts, book), book) for each in (facts, replace(facts, assumed=())))
    for finding in wholly.findings:
        own = next((each for each in read.findings if each.check is finding.check), None)
        assert finding.result is not CheckResult.PASS or own is None or own.result is CheckResult.PASS
        if own is not None and own.limit_high is not None and finding.limit_high is not None:
            assert finding.limit_high <= own.limit_high
        if own is not None and own.limit_low is not None and finding.limit_low is not None:
            assert finding.limit_low >= own.limit_low


def test_the_walk_leaves_out_no_category_no_class_no_book_and_no_row() -> None:
    walked = [(book, item_of(category, each)) for book, category, each in product(BOOKS, CATEGORIES, CLASSES)]
    assert len(walked) == len(BOOKS) * len(category_defaults()) * (len(ApplianceClass) + 1)
    assert {(book, kind_of(facts)) for book, facts in walked} == set(NEEDED)
    assert all(row.source and row.basis for row in (*NEEDED.values(), *STRICTEST.values(), *TRIPS.values()))
    few = {"KET", "FHE", "WEL", "RCD", "MWO", "TEL", "LC1"}
    for book_id in BOOKS:
        book = load_rule_book(book_id)
        kinds = [item_of(each, each.appliance_class) for each in CATEGORIES if each.code in few]
        met = {row for facts in kinds for row in holds_strictly(judge(facts, sound(facts, book), book), facts, book_id)}
        assert met == {(check, row.says) for (of, check, _), row in STRICTEST.items() if of == book_id}


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
    facts = replace(item(kw="0.65", fuse="13"), **changed)
    assert not any("fuse" in each for each in judge(facts, Entries(), load_rule_book("gb")).advice)
