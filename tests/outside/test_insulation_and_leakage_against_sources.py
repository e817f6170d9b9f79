"""Insulation resistance and leakage current against the sources named in each row."""

import pytest

from appreg.core.records.checks import Check, Entries, LeakageMethod
from appreg.core.rules.check_limits import limit_of
from appreg.core.rules.limits import NoLimit
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult
from tests.outside.checked_values import Checked, case_name, cases
from tests.outside.electrical_rows import (
    COMMON,
    DERIVED,
    MEMORY,
    SECOND_HAND,
    entries_for,
    finding_row,
    found,
    item,
    limit_row,
    stated_row,
)

INSULATION, LEAKAGE = Check.INSULATION, Check.LEAKAGE
PASS, FAIL, UNSURE = CheckResult.PASS, CheckResult.FAIL, CheckResult.INCONCLUSIVE
COP2, COP3 = "CoP Table 15.2", "CoP 3rd ed. 2007 Table 15.3"
EN, ANZ = "EN 50699:2020", "AS/NZS 3760"
WHERE_HARMFUL = "250 V where 500 V would harm"
TOUCH, SUBSTITUTE = LeakageMethod.TOUCH, LeakageMethod.SUBSTITUTE


def at(volts: int, typed: str = "5") -> Entries:
    return entries_for(INSULATION, typed, volts=volts)


def substitute(typed: str, applied: str, *, symmetric: bool = False) -> Entries:
    return entries_for(LEAKAGE, typed, method=SUBSTITUTE, applied=applied, symmetric=symmetric)


INSULATION_ROWS = (
    *(
        limit_row(book, keys, INSULATION, facts, low=low, source=source, basis=basis)
        for book, keys, facts, low, source, basis in (
            ("gb", ("insulation.class-1.least",), item("1"), "1", COP2, SECOND_HAND),
            ("gb", ("insulation.class-1.least",), item("unknown"), "1", "CoP, class not known", SECOND_HAND),
            ("gb", ("insulation.class-1.least",), item("2", "extension-lead"), "1", "CoP 15.10", SECOND_HAND),
            ("gb", ("insulation.class-2.least",), item("2"), "2", COP2, SECOND_HAND),
            ("gb", ("insulation.class-3.least",), item("3"), "0.25", COP2, SECOND_HAND),
            (
                "gb",
                ("insulation.heating.least", "insulation.heating.from-kw"),
                item(kw="3.0", heating=True),
                "0.3",
                COP2,
                MEMORY,
            ),
            ("gb", ("insulation.heating.from-kw",), item(kw="2.9", heating=True), "1", COP2, MEMORY),
            ("eu", ("insulation.class-1.least",), item("1"), "1", EN, SECOND_HAND),
            ("eu", ("insulation.heating.least",), item(kw="0.5", heating=True), "0.3", EN, SECOND_HAND),
            ("eu", ("insulation.class-2.least",), item("2"), "2", EN, SECOND_HAND),
            ("eu", ("insulation.class-3.least",), item("3"), "0.25", EN, SECOND_HAND),
            ("anz", ("insulation.class-1.least",), item("1", heating=True, kw="4"), "1", ANZ, MEMORY),
            ("anz", ("insulation.class-2.least",), item("2"), "1", ANZ, MEMORY),
            ("anz", ("insulation.mineral.least",), item(mineral=True, heating=True), "0.01", ANZ, MEMORY),
        )
    ),
    *(
        finding_row(book, keys, INSULATION, facts, entries, result, source=source, basis=basis)
        for book, keys, facts, entries, result, source, basis in (
            ("gb", ("insulation.class-1.least",), item(), entries_for(INSULATION, "0.99"), FAIL, COP2, SECOND_HAND),
            ("gb", ("insulation.class-1.least",), item(), entries_for(INSULATION, "1.00"), PASS, COP2, SECOND_HAND),
            ("gb", ("insulation.class-2.least",), item("2"), entries_for(INSULATION, "1.5"), FAIL, COP2, SECOND_HAND),
            ("gb", ("insulation.class-2.least",), item("2"), entries_for(INSULATION, "2.0"), PASS, COP2, SECOND_HAND),
            (
                "gb",
                ("insulation.heating.from-kw",),
                item(kw="3.0", heating=True),
                entries_for(INSULATION, "0.35"),
                PASS,
                COP2,
                MEMORY,
            ),
            (
                "gb",
                ("insulation.heating.from-kw",),
                item(kw="2.9", heating=True),
                entries_for(INSULATION, "0.35"),
                FAIL,
                COP2,
                MEMORY,
            ),
            # Test voltages: a pass below the accepted voltage proves nothing.
            ("gb", ("insulation.class-1.volts",), item(), at(500), PASS, COP2, SECOND_HAND),
            ("gb", ("insulation.class-1.volts",), item(), at(250), UNSURE, COP2, SECOND_HAND),
            ("gb", ("insulation.class-1.volts-unsuitable",), item(unsuitable=True), at(250), PASS, COP2, SECOND_HAND),
            ("gb", ("insulation.class-2.volts",), item("2"), at(500), PASS, COP2, SECOND_HAND),
            ("gb", ("insulation.class-2.volts",), item("2"), at(250), UNSURE, COP2, SECOND_HAND),
            ("gb", ("insulation.class-3.volts",), item("3"), at(250), PASS, COP2, MEMORY),
            ("gb", ("insulation.class-3.volts",), item("3"), at(100), UNSURE, COP2, MEMORY),
            ("eu", ("insulation.class-1.volts",), item(), at(250), UNSURE, EN, SECOND_HAND),
            ("eu", ("insulation.class-1.volts",), item(), at(500), PASS, EN, SECOND_HAND),
            ("eu", ("insulation.class-2.volts",), item("2"), at(250), UNSURE, EN, SECOND_HAND),
            ("eu", ("insulation.class-2.volts",), item("2"), at(500), PASS, EN, SECOND_HAND),
            ("eu", ("insulation.class-3.volts",), item("3"), at(250), PASS, "EN 50699, SELV and PELV", MEMORY),
            ("eu", ("insulation.class-3.volts",), item("3"), at(100), UNSURE, "EN 50699, SELV and PELV", MEMORY),
            *(
                (
                    book,
                    (f"insulation.class-{one}.volts-unsuitable",),
                    item(one, unsuitable=True),
                    at(250),
                    PASS,
                    WHERE_HARMFUL,
                    COMMON,
                )
                for book, one in (("gb", "2"), ("eu", "1"), ("eu", "2"))
            ),
            ("anz", ("insulation.class-1.volts",), item(), at(250), UNSURE, ANZ, MEMORY),
            ("anz", ("insulation.class-1.volts",), item(), at(500), PASS, ANZ, MEMORY),
            ("anz", ("insulation.class-1.volts-unsuitable",), item(unsuitable=True), at(250), PASS, ANZ, MEMORY),
            ("anz", ("insulation.class-2.volts",), item("2"), at(250), UNSURE, ANZ, MEMORY),
            ("anz", ("insulation.class-2.volts",), item("2"), at(500), PASS, ANZ, MEMORY),
            ("anz", ("insulation.class-2.volts-unsuitable",), item("2", unsuitable=True), at(250), PASS, ANZ, MEMORY),
            # eu: above 3.5 kW a low value is for the protective-conductor current to decide; up to it, a failure.
            (
                "eu",
                ("insulation.heating.by-current-above-kw",),
                item(kw="3.5", heating=True),
                entries_for(INSULATION, "0.2"),
                FAIL,
                EN,
                SECOND_HAND,
            ),
            (
                "eu",
                ("insulation.heating.by-current-above-kw",),
                item(kw="3.6", heating=True),
                entries_for(INSULATION, "0.2"),
                UNSURE,
                EN,
                SECOND_HAND,
            ),
        )
    ),
)

HEATER = ("leakage.heating.least", "leakage.heating.per-kw", "leakage.heating.most", "leakage.heating.types")
EU_HEATER = ("leakage.heating.above-kw", "leakage.heating.per-kw", "leakage.heating.most")
LIGHT = ("leakage.light.most", "leakage.light.types")

LEAKAGE_ROWS = (
    *(
        limit_row(book, keys, LEAKAGE, facts, high=high, source=source, basis=SECOND_HAND)
        for book, keys, facts, high, source in (
            ("gb", LIGHT[:1], item("1", "hand-held"), "0.75", COP3),
            ("gb", LIGHT[:1], item("1", "portable", kw="3", heating=True), "0.75", COP3),
            ("gb", LIGHT[:1], item("unknown", "portable"), "0.75", "CoP, class not known"),
            *(
                ("gb", ("leakage.class-1.most",), item("1", kind), "3.5", COP3)
                for kind in ("it", "movable", "stationary", "fixed", "built-in")
            ),
            ("gb", (HEATER[0],), item("1", "stationary", kw="0.5", heating=True), "0.75", COP3),
            ("gb", (HEATER[1], HEATER[3]), item("1", "stationary", kw="2", heating=True), "1.5", COP3),
            ("gb", (HEATER[1],), item("1", "fixed", kw="6", heating=True), "4.5", "IEC 60335-1 cl. 13.2"),
            ("gb", (HEATER[2],), item("1", "built-in", kw="7", heating=True), "5", "IEC 60335-1 cl. 13.2"),
            ("gb", ("leakage.touch.class-2",), item("2"), "0.25", COP3),
            ("gb", ("leakage.touch.class-3",), item("3"), "0.5", COP3),
            ("gb", ("leakage.doubling.factor", *LIGHT[:1]), item(double=True), "1.5", "CoP 3rd ed. Table 15.3 notes"),
            ("gb", ("leakage.doubling.factor",), item("1", "it", double=True), "7", "CoP 3rd ed. Table 15.3 notes"),
            ("eu", ("leakage.class-1.most",), item(), "3.5", EN),
            ("eu", ("leakage.class-1.most",), item(kw="3.5", heating=True), "3.5", EN),
            ("eu", EU_HEATER[1:2], item(kw="4", heating=True), "4", EN),
            ("eu", EU_HEATER[:1], item(kw="3.6", heating=True), "3.6", EN),
            ("eu", EU_HEATER[2:], item(kw="12", heating=True), "10", EN),
            ("eu", ("leakage.touch.class-2",), item("2"), "0.5", EN),
            ("anz", ("leakage.class-1.most",), item(), "5", ANZ),
            ("anz", ("leakage.touch.class-2",), item("2"), "1", ANZ),
        )
    ),
    limit_row(
        "eu", ("leakage.touch.class-1",), LEAKAGE, item(), high="0.5", method=TOUCH, source=EN, basis=SECOND_HAND
    ),
    limit_row("gb", LIGHT[1:], LEAKAGE, item("1", "extension-lead"), high="0.75", source=COP3, basis="common practice"),
    # All four light types and all three heating types decide: one row that needs every word.
    stated_row("gb", LIGHT[1], "hand-held, portable, cord-set, extension-lead", source=COP3, basis=SECOND_HAND),
    stated_row("gb", HEATER[3], "movable, stationary, fixed, built-in", source=COP3, basis=SECOND_HAND),
    *(
        finding_row(book, keys, LEAKAGE, facts, entries, result, source=source, basis=basis)
        for book, keys, facts, entries, result, source, basis in (
            ("gb", LIGHT[:1], item("1", "hand-held"), entries_for(LEAKAGE, "0.76"), FAIL, COP3, SECOND_HAND),
            ("gb", ("leakage.class-1.most",), item("1", "it"), entries_for(LEAKAGE, "3.4"), PASS, COP3, SECOND_HAND),
            ("anz", ("leakage.touch.class-2",), item("2"), entries_for(LEAKAGE, "1.1"), FAIL, ANZ, SECOND_HAND),
            ("anz", ("leakage.class-1.most",), item("1"), entries_for(LEAKAGE, "5.1"), FAIL, ANZ, SECOND_HAND),
            # 0.10 mA × 230 / 40 = 0.575 mA
            (
                "gb",
                ("leakage.substitute.limit-factor",),
                item("1", "hand-held"),
                substitute("0.10", "40"),
                PASS,
                "CoP",
                MEMORY,
            ),
            (
                "gb",
                ("leakage.substitute.applied-low",),
                item("1", "hand-held"),
                substitute("0.10", "40"),
                PASS,
                "CoP",
                DERIVED,
            ),
            (
                "gb",
                ("leakage.substitute.applied-low",),
                item("1", "hand-held"),
                substitute("0.01", "39"),
                UNSURE,
                "CoP",
                SECOND_HAND,
            ),
            (
                "gb",
                ("leakage.substitute.applied-high",),
                item("1", "hand-held"),
                substitute("0.10", "50"),
                PASS,
                "CoP",
                SECOND_HAND,
            ),
            (
                "gb",
                ("leakage.substitute.applied-high",),
                item("1", "hand-held"),
                substitute("0.01", "51"),
                UNSURE,
                "CoP",
                SECOND_HAND,
            ),
            # 1.0 mA × 230 / 50 = 4.6 mA, halved 2.3 mA
            (
                "eu",
                ("leakage.substitute.symmetric-divisor",),
                item(),
                substitute("1.0", "50", symmetric=True),
                PASS,
                EN,
                SECOND_HAND,
            ),
            ("eu", ("leakage.class-1.most",), item(), substitute("1.0", "50"), FAIL, EN, SECOND_HAND),
            ("eu", ("leakage.substitute.limit-factor",), item(), substitute("0.76", "50"), PASS, EN, MEMORY),
        )
    ),
)

CHECKED = (*INSULATION_ROWS, *LEAKAGE_ROWS)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_insulation_and_leakage_agree_with_their_sources(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


def test_a_substitute_reading_is_scaled_to_rated_voltage_in_writing() -> None:
    # Derived from the method: 0.10 mA at 40 V, rated 230 V, is 0.575 mA.
    finding = found(LEAKAGE, item("1", "hand-held"), substitute("0.10", "40"), load_rule_book("gb"))
    assert "0.10 mA × 230 V / 40 V = 0.575 mA" in finding.arithmetic


@pytest.mark.parametrize(
    ("book_id", "facts", "method"),
    [("anz", item(), SUBSTITUTE), ("gb", item(), TOUCH), ("anz", item("3"), None), ("eu", item("3"), TOUCH)],
)
def test_where_no_source_gives_a_limit_there_is_none(book_id: str, facts: object, method: LeakageMethod | None) -> None:
    assert isinstance(limit_of(LEAKAGE, facts, load_rule_book(book_id), method), NoLimit)  # type: ignore[arg-type]


def test_the_arithmetic_of_a_heater_names_power_and_bounds() -> None:
    finding = found(
        LEAKAGE, item("1", "fixed", kw="7", heating=True), entries_for(LEAKAGE, "5.01"), load_rule_book("gb")
    )
    assert finding.arithmetic == "0.75 mA/kW × 7 kW = 5.25 mA, at most 5 mA"
    assert finding.result is FAIL
