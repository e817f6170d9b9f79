"""Trip times of residual current devices, and microwave leakage, against the sources named in each row."""

import pytest

from appreg.core.judging.several_readings import parse_readings
from appreg.core.judging.verdicts import judge
from appreg.core.records.checks import Check, Entries
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult
from tests.outside.checked_values import Checked, case_name, cases
from tests.outside.electrical_rows import (
    COMMON,
    MEMORY,
    PUBLISHED,
    SECOND_HAND,
    advice_row,
    entries_for,
    finding_row,
    item,
    limit_row,
    stated_row,
)

PASS, FAIL = CheckResult.PASS, CheckResult.FAIL
HALF, ONE, TWO, FIVE = Check.RCD_HALF, Check.RCD_1X, Check.RCD_2X, Check.RCD_5X
MICROWAVE = Check.MICROWAVE
EN, BS, NZ = "BS EN 61008-1 / 61009-1", "BS 4293, BS 7288", "Electricity (Safety) Regulations 2010 (NZ) r. 24(3)"
PORTABLE, ANZ, HANDBOOK = "BS 7071 / IEC 61540", "AS/NZS 3760:2010", "Inspection and testing handbook"
IEC, OAR = "IEC 60335-2-25", "OAR 333-112-0020"


def required_row(book: str, kind: str) -> Checked:
    """A device that is fitted but not timed at the rated current leaves the inspection incomplete."""

    def run(rules: RuleBook) -> None:
        assert ONE in judge(item(rcd=kind), Entries(), rules).missing

    return Checked(
        book=book,
        keys=(f"rcd.{kind}.required",),
        expected=f"{kind} timed at IΔn",
        source="trip test",
        basis=COMMON,
        run=run,
    )


def microwave_text_row(key: str, words: str, source: str, basis: str) -> Checked:
    """The arithmetic of the limit says how the measurement is made."""

    def run(rules: RuleBook) -> None:
        findings = judge(item(), entries_for(MICROWAVE, "1"), rules).findings
        assert words in next(finding.arithmetic for finding in findings if finding.check is MICROWAVE)

    return Checked(book="*", keys=(key,), expected=words, source=source, basis=basis, run=run)


CHECKED = (
    *(
        limit_row(book, keys, check, item(rcd=kind, delay=delay), low=low, high=high, source=source, basis=basis)
        for book, keys, check, kind, delay, low, high, source, basis in (
            ("*", ("rcd.general.1x.most",), ONE, "general", "", "", "300", EN, SECOND_HAND),
            ("*", ("rcd.general.2x.most",), TWO, "general", "", "", "150", EN, SECOND_HAND),
            ("*", ("rcd.general.5x.most",), FIVE, "general", "", "", "40", EN, SECOND_HAND),
            ("*", ("rcd.s.1x.least", "rcd.s.1x.most"), ONE, "s", "", "130", "500", EN, SECOND_HAND),
            ("*", ("rcd.s.2x.least", "rcd.s.2x.most"), TWO, "s", "", "60", "200", EN, MEMORY),
            ("*", ("rcd.s.5x.least", "rcd.s.5x.most"), FIVE, "s", "", "50", "150", EN, SECOND_HAND),
            ("*", ("rcd.bs4293.1x.most",), ONE, "bs4293", "", "", "200", BS, SECOND_HAND),
            ("*", ("rcd.bs4293.5x.most",), FIVE, "bs4293", "", "", "40", BS, SECOND_HAND),
            # 200 ms + 50 to 100 % of the rated delay
            ("*", ("rcd.bs4293.delay-low", "rcd.bs4293.delay-high"), ONE, "bs4293", "200", "300", "400", BS, MEMORY),
            ("*", ("rcd.portable.1x.most",), ONE, "portable", "", "", "200", PORTABLE, MEMORY),
            ("*", ("rcd.portable.5x.most",), FIVE, "portable", "", "", "40", PORTABLE, MEMORY),
            (
                "anz",
                ("rcd.anz-1.1x.most",),
                ONE,
                "anz-1",
                "",
                "",
                "30",
                "a code of practice; 40 ms by AS/NZS 3760:2010",
                SECOND_HAND,
            ),
            ("anz", ("rcd.anz-2.1x.most",), ONE, "anz-2", "", "", "300", ANZ, SECOND_HAND),
            ("anz", ("rcd.anz-1.5x.most",), FIVE, "anz-1", "", "", "40", NZ, SECOND_HAND),
            ("anz", ("rcd.anz-2.5x.most",), FIVE, "anz-2", "", "", "40", NZ, SECOND_HAND),
            ("*", ("rcd.half.least",), HALF, "general", "", "2000", "", HANDBOOK, SECOND_HAND),
        )
    ),
    *(
        finding_row(
            "*", keys, check, item(rcd=kind), entries_for(check, typed), result, source=source, basis=SECOND_HAND
        )
        for keys, check, kind, typed, result, source in (
            (("rcd.general.1x.most",), ONE, "general", "299", PASS, EN),
            (("rcd.general.5x.most",), FIVE, "general", "41", FAIL, EN),
            (("rcd.s.1x.least",), ONE, "s", "120", FAIL, EN),
            (("rcd.s.1x.least",), ONE, "s", "140", PASS, EN),
            (("rcd.half.least",), HALF, "general", "1500", FAIL, HANDBOOK),
            (("rcd.half.least",), HALF, "general", "2000", PASS, HANDBOOK),
        )
    ),
    *(required_row("*", kind) for kind in ("general", "s", "bs4293", "portable")),
    *(required_row("anz", kind) for kind in ("anz-1", "anz-2")),
    advice_row(
        "*",
        ("rcd.additional.rating",),
        item(rcd="general", rating="100"),
        says="no additional protection: that takes 30 mA",
        source=HANDBOOK,
        basis=SECOND_HAND,
    ),
    advice_row(
        "*",
        ("rcd.additional.rating",),
        item(rcd="general", rating="30"),
        never="no additional protection",
        source=HANDBOOK,
        basis=SECOND_HAND,
    ),
    advice_row(
        "*",
        ("rcd.additional.most", "rcd.additional.times"),
        item(rcd="s", rating="30"),
        says="that takes 40 ms at 5 × IΔn",
        source=HANDBOOK,
        basis=SECOND_HAND,
    ),
    advice_row(
        "*",
        ("rcd.additional.angles",),
        item(rcd="general", rating="30"),
        says="test at 0° and 180° and record the longer",
        source=HANDBOOK,
        basis=SECOND_HAND,
    ),
    limit_row("*", ("microwave.most",), MICROWAVE, item(), high="5", source=IEC, basis=SECOND_HAND),
    *(
        finding_row(
            "*",
            ("microwave.most",),
            MICROWAVE,
            item(),
            entries_for(MICROWAVE, typed),
            result,
            source=IEC,
            basis=SECOND_HAND,
        )
        for typed, result in (("5.0", PASS), ("5.1", FAIL), ("50 W/m²", PASS), ("51 W/m²", FAIL))
    ),
    microwave_text_row("microwave.most-si", "5 mW/cm² = 50 W/m²", IEC, SECOND_HAND),
    microwave_text_row("microwave.distance", "at 50 mm or more", IEC, SECOND_HAND),
    microwave_text_row("microwave.load", "275 ± ", OAR, PUBLISHED),
    microwave_text_row("microwave.load-tolerance", " ± 15 ml water", OAR, PUBLISHED),
    microwave_text_row("microwave.beaker", "in a 600 ml beaker", OAR, PUBLISHED),
    stated_row("*", "rcd.additional.times", "5", source=HANDBOOK, basis=SECOND_HAND),
)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_trip_times_and_microwave_leakage_agree_with_their_sources(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


@pytest.mark.parametrize("check", [ONE, TWO, FIVE])
def test_a_device_that_does_not_trip_at_its_rated_current_or_more_fails(check: Check) -> None:
    # BS EN 61008-1 times the trip at each of these (second-hand).
    findings = judge(item(rcd="general"), entries_for(check, "none"), load_rule_book("gb")).findings
    assert next(finding for finding in findings if finding.check is check).result is FAIL


@pytest.mark.parametrize(("typed", "result"), [("38/40", PASS), ("38/41", FAIL), ("41/38", FAIL), ("38/none", FAIL)])
def test_of_both_half_waves_the_longer_counts(typed: str, result: CheckResult) -> None:
    # Inspection and testing handbook (second-hand): 40 ms at 5 × IΔn, tested at 0° and 180°, the longer recorded.
    readings = parse_readings(typed, FIVE)
    entries = Entries(rcd_trips={FIVE: readings[0]}, several={FIVE: readings})
    findings = judge(item(rcd="general", rating="30"), entries, load_rule_book("gb")).findings
    assert next(finding for finding in findings if finding.check is FIVE).result is result


def test_a_device_that_holds_at_half_its_rated_current_passes() -> None:
    # Inspection and testing handbook (second-hand).
    findings = judge(item(rcd="general"), entries_for(HALF, "none"), load_rule_book("gb")).findings
    assert next(finding for finding in findings if finding.check is HALF).result is PASS
