"""Advice on fuses, flex and leads, the order of an inspection, and what the books state for information."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from appreg.core.judging.verdicts import judge
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry
from appreg.core.rules.fuse_advice import lead_fuse_fault
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading
from tests.outside.checked_values import Checked, case_name, cases
from tests.outside.electrical_rows import COMMON, MEMORY, SECOND_HAND, advice_row, item, stated_row

COP, VII, LEADS = "CoP", "CoP 4th ed. Table VII.1", "CoP 3rd/4th ed. Table 15.4, 5th ed. 10.10"
BS1362, BS1363 = "BS 1362", "BS 1363 Table 2 note"
FLEX = {"0.5": ("3", "5"), "0.75": ("6", "7"), "1": ("10", "13"), "1.25": ("13", "14"), "1.5": ("15", "16")}
"""Flex size: its rating, and the next fuse above it."""
MOULDED = ("flex.moulded.csa", "flex.moulded.shorter-than", "flex.moulded.fuse")


def closing_row(book: str, basis: str) -> Checked:
    """A failed look or a failed earth closes what comes after it."""

    def run(rules: RuleBook) -> None:
        sound = InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM))
        earth = EarthEntry(reading=parse_reading("9", Unit.OHM))
        for entries in (Entries(visual=False, insulation=sound), Entries(visual=True, earth=earth, insulation=sound)):
            findings = {finding.check: finding for finding in judge(item(), entries, rules).findings}
            assert findings[Check.INSULATION].result is CheckResult.NOT_DONE
            assert findings[Check.INSULATION].reading == ">299"

    return Checked(
        book=book, keys=("inspection.stop-after",), expected="stop rule", source="CoP ch. 15", basis=basis, run=run
    )


def lead_fuse_row(
    keys: tuple[str, ...], cord: str, fuse: str, says: str, *, moulded: bool = False, source: str, basis: str
) -> Checked:
    """The fuse of a lead fails it on sight, or does not."""

    def run(rules: RuleBook) -> None:
        assert says in lead_fuse_fault(item("1", "cord-set", cord=cord, fuse=fuse, moulded=moulded), rules)
        assert bool(says) is bool(lead_fuse_fault(item("1", "cord-set", cord=cord, fuse=fuse, moulded=moulded), rules))

    named = f"fuse {fuse} A on a lead {cord}: {says or 'in order'}"
    return Checked(book="gb", keys=keys, expected=named, source=source, basis=basis, run=run)


def error_rate_row() -> Checked:
    """An interval may be lengthened where fewer than 2 of 100 like items fail."""

    def run(rules: RuleBook) -> None:
        rule = rules.interval_tables["dguv-v3"].error_rate
        assert rule is not None
        assert (rule.below_percent, rule.citation.basis) == (Decimal(2), "published")

    return Checked(
        book="eu",
        keys=("intervals.dguv-v3.lengthening.error_rate_below",),
        expected="error rate below 2 %",
        source="DGUV Vorschrift 3",
        basis="published",
        run=run,
    )


CHECKED = (
    error_rate_row(),
    advice_row(
        "gb",
        ("fuse.small-up-to", "fuse.small"),
        item(kw="0.65"),
        says="plug fuse for 650 W: 3 A (CoP, second-hand)",
        source=COP,
        basis=SECOND_HAND,
    ),
    advice_row(
        "gb",
        ("fuse.small-up-to", "fuse.small"),
        item(kw="0.7"),
        says="plug fuse for 700 W: 3 A",
        source=COP,
        basis=SECOND_HAND,
    ),
    advice_row(
        "gb",
        ("fuse.small-up-to", "fuse.large"),
        item(kw="0.75"),
        says="plug fuse for 750 W: 13 A",
        source=COP,
        basis=SECOND_HAND,
    ),
    advice_row(
        "gb", ("fuse.plug-up-to",), item(kw="3"), says="plug fuse for 3000 W: 13 A", source="BS 1363 plug", basis=COMMON
    ),
    advice_row(
        "gb",
        ("fuse.plug-up-to",),
        item(kw="3.01"),
        says="3010 W is more than a fused plug carries",
        source="BS 1363 plug",
        basis=COMMON,
    ),
    advice_row(
        "gb",
        ("fuse.sizes",),
        item(fuse="4"),
        says="no plug fuse of 4 A exists: they come as 1, 2, 3, 5, 7, 10, 13 A",
        source=BS1362,
        basis=SECOND_HAND,
    ),
    advice_row(
        "gb",
        ("fuse.preferred",),
        item(fuse="5"),
        says="fuse of 5 A is not a preferred size: 3, 13 A are",
        source=BS1362,
        basis=SECOND_HAND,
    ),
    *(
        lead_fuse_row((f"flex.csa_{size.replace('.', '_')}",), f"{size} x 3", fuse, says, source=VII, basis=SECOND_HAND)
        for size, (rating, above) in FLEX.items()
        for fuse, says in ((above, f"larger than {rating} A of {size} mm² flex"), (rating, ""))
    ),
    lead_fuse_row(MOULDED, "0.75 x 1.9", "13", "", moulded=True, source=BS1363, basis=SECOND_HAND),
    lead_fuse_row(
        MOULDED[1:2], "0.75 x 2", "13", "larger than 6 A of 0.75 mm²", moulded=True, source=BS1363, basis=SECOND_HAND
    ),
    lead_fuse_row(
        MOULDED, "0.75 x 1.9", "14", "larger than 13 A of 0.75 mm²", moulded=True, source=BS1363, basis=SECOND_HAND
    ),
    advice_row(
        "gb",
        ("flex.moulded.rating", *MOULDED[:2]),
        item(kw="2.4", cord="0.75 x 1.9", moulded=True),
        says="load of 10.4 A is more than 10 A that 0.75 mm² flex carries",
        source=BS1363,
        basis=SECOND_HAND,
    ),
    *(
        advice_row(
            "gb",
            (f"flex.fuse.csa_{size.replace('.', '_')}",),
            item(cord=f"{size} x 3", fuse=fuse),
            says=says,
            never="" if says else "appliance cord",
            source="BS 1363, fuse and flex of appliance cords",
            basis=MEMORY,
        )
        for size, most in (("0.5", "3"), ("0.75", "13"), ("1", "13"), ("1.25", "13"), ("1.5", "13"))
        for fuse, says in ((most, ""), ("14", f"larger than {most} A for an appliance cord of {size} mm²"))
    ),
    *(
        advice_row(
            "gb", ("plug.mains-from",), facts, says=says, never=never, source="reduced low voltage", basis=MEMORY
        )
        for facts, says, never in (
            (replace(item(kw="0.65"), rated_volts=110), "", "fuse"),
            (replace(item(kw="0.65"), rated_volts=230), "plug fuse for 650 W: 3 A", ""),
        )
    ),
    *(
        stated_row(book, key, amount, source=source, basis=COMMON)
        for book, key, amount, source in (
            ("gb", "plug.fused", "fused", BS1363),
            ("gb", "plug.polarised", "polarised", BS1363),
            ("gb", "dates.written", "words", "dates on British paper: the month in letters"),
            ("gb", "plug.usual-cords", "0.5, 0.75, 1.0, 1.25, 1.5, 2.5", "IEC 60228 and the UK flex of 1.25 mm²"),
            ("eu", "plug.fused", "not-fused", "plugs of continental Europe"),
            ("eu", "plug.polarised", "reversible", "plugs of continental Europe"),
            ("eu", "dates.written", "dotted", "dates in continental Europe: day, month and year with dots"),
            ("eu", "plug.usual-cords", "0.5, 0.75, 1.0, 1.5, 2.5", "IEC 60228"),
            ("anz", "plug.fused", "not-fused", "plugs of Australia and New Zealand"),
            ("anz", "plug.polarised", "polarised", "plugs of Australia and New Zealand"),
            ("anz", "dates.written", "words", "dates in Australia and New Zealand: the month in letters"),
            ("anz", "plug.usual-cords", "0.5, 0.75, 1.0, 1.5, 2.5", "IEC 60228"),
        )
    ),
    # CoP 3rd edition 8.4 as quoted (second-hand); test labels of the trade; AS/NZS 3760:2010 from memory.
    stated_row("gb", "label.names", "initials", source="CoP 3rd ed. 8.4: initials", basis="second-hand"),
    stated_row("eu", "label.names", "initials, firm, next-date", source="test labels of the trade", basis=COMMON),
    stated_row("anz", "label.names", "tester, next-date", source="AS/NZS 3760:2010, tags", basis=MEMORY),
    *(
        stated_row(book, "plug.mains-from", "200", source="reduced low voltage has plugs of its own", basis=MEMORY)
        for book in ("eu", "anz")
    ),
    *(
        advice_row(
            "gb",
            (f"lead.csa_{size.replace('.', '_')}",),
            item("1", "extension-lead", cord=f"{size} x {metres}"),
            says=says,
            never=never,
            source=LEADS,
            basis=basis,
        )
        for size, metres, says, never, basis in (
            ("1.25", "12", "", "recommended", MEMORY),
            ("1.25", "12.1", "over the recommended 12 m", "", MEMORY),
            ("1.5", "15", "", "recommended", SECOND_HAND),
            ("1.5", "20", "over the recommended 15 m: use it with a 30 mA RCD", "", SECOND_HAND),
            ("2.5", "25", "", "recommended", SECOND_HAND),
            ("2.5", "25.1", "over the recommended 25 m", "", SECOND_HAND),
        )
    ),
    advice_row(
        "gb",
        ("rcd.additional.rating",),
        item("1", "extension-lead", cord="1.5 x 20", rcd="general", rating="30"),
        never="recommended",
        source=LEADS,
        basis=SECOND_HAND,
    ),
    closing_row("gb", MEMORY),
    closing_row("eu", COMMON),
    closing_row("anz", COMMON),
    stated_row(
        "gb",
        "inspection.order",
        "visual, earth-continuity, polarity, insulation, leakage, functional",
        source="CoP ch. 15",
        basis=SECOND_HAND,
    ),
    stated_row(
        "eu",
        "inspection.order",
        "visual, earth-continuity, polarity, insulation, leakage, functional",
        source="order of an inspection",
        basis=COMMON,
    ),
    stated_row(
        "anz",
        "inspection.order",
        "visual, earth-continuity, polarity, insulation, leakage, functional",
        source="order of an inspection",
        basis=COMMON,
    ),
    stated_row("gb", "types.portable-below", "18", source="CoP definitions", basis=SECOND_HAND),
    stated_row("gb", "types.movable-up-to", "18", source="CoP definitions", basis=SECOND_HAND),
    stated_row("gb", "types.stationary-above", "18", source="CoP definitions", basis=SECOND_HAND),
    stated_row("eu", "uncertainty.reading", "30", source="EN 61557-16", basis=SECOND_HAND),
    stated_row("eu", "uncertainty.leakage", "15", source="EN 61557-16, one note", basis=SECOND_HAND),
)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_advice_and_order_agree_with_their_sources(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


def test_a_long_lead_without_an_rcd_still_passes() -> None:
    # CoP Table 15.4: an advisory, not a failure (second-hand). 1.5 mm² × 20 m: 0.366 Ω.
    entries = Entries(
        visual=True,
        earth=EarthEntry(reading=parse_reading("0.3", Unit.OHM)),
        polarity=True,
        insulation=InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM), volts=500),
    )
    judgement = judge(item("1", "extension-lead", cord="1.5 x 20"), entries, load_rule_book("gb"))
    assert judgement.outcome is Outcome.PASS
    assert any("over the recommended 15 m" in sentence for sentence in judgement.advice)
