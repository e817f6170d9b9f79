"""Earth continuity and conductor resistance against the sources named in each row."""

from decimal import Decimal as D

import pytest

from appreg.core.records.appliances import Cord
from appreg.core.records.checks import Check
from appreg.core.rules.check_limits import limit_of
from appreg.core.rules.earth_limits import at_reference, cord_resistance
from appreg.core.rules.limits import Limit
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.rule_keys import csa_key
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Unit, parse_reading
from appreg.errors import InputRefused
from tests.outside.checked_values import Checked, case_name, cases
from tests.outside.electrical_rows import (
    COMMON,
    DERIVED,
    MEMORY,
    PUBLISHED,
    SECOND_HAND,
    entries_for,
    finding_row,
    item,
    limit_row,
    stated_row,
)

EARTH = Check.EARTH_CONTINUITY
IEC = "IEC 60228 class 5, maximum at 20 °C"
COP = "CoP 15.4"
EN = "EN 50699:2020"
ANZ = "AS/NZS 3760"

# IEC 60228 class 5, four agreeing tables (second-hand), mΩ/m; 1.25 mm² is UK flex: 19.5 / 1.25 (memory).
PLAIN = {"0.5": "39.0", "0.75": "26.0", "1": "19.5", "1.25": "15.6", "1.5": "13.3", "2.5": "7.98", "4": "4.95"} | {
    "6": "3.30",
    "10": "1.91",
    "16": "1.21",
}
TINNED = {"0.5": "40.1", "0.75": "26.7", "1": "20.0", "1.5": "13.7", "2.5": "8.21", "4": "5.09", "6": "3.39"} | {
    "10": "1.95",
    "16": "1.24",
}


def conductor_row(size: str, per_metre: str, *, tinned: bool) -> Checked:
    def run(book: RuleBook) -> None:
        cord = Cord(csa_mm2=D(size), length_m=D(1000), tinned=tinned)
        assert cord_resistance(cord, book) == D(per_metre)

    kind = "tinned" if tinned else "plain"
    return Checked(
        book="*",
        keys=(f"conductor.{kind}.{csa_key(D(size))}",),
        expected=f"{size} mm² {kind} {per_metre} mΩ/m",
        source=IEC,
        basis=MEMORY if size == "1.25" else SECOND_HAND,
        run=run,
    )


def lead_row(size: str, metres: int, shown: str) -> Checked:
    """The lead table of the CoP, to two decimals."""

    def run(book: RuleBook) -> None:
        ohms = cord_resistance(Cord(csa_mm2=D(size), length_m=D(metres)), book)
        assert round(ohms, 2) == D(shown)

    return Checked(
        book="*",
        keys=(f"conductor.plain.{csa_key(D(size))}",),
        expected=f"lead {size} mm² × {metres} m {shown} Ω",
        source="lead table of the CoP",
        basis=SECOND_HAND,
        run=run,
    )


def annex_row(celsius: int, factor: str) -> Checked:
    """The annex multiplies; 20 °C is the same to the third decimal."""

    def run(book: RuleBook) -> None:
        referred, _ = at_reference(parse_reading("1", Unit.OHM), D(celsius), book)
        assert referred.value is not None
        assert abs(referred.value - D(factor)) <= D("0.001")

    keys = ("conductor.temperature.coefficient", "conductor.temperature.reference", "conductor.temperature.range")
    used = keys if celsius in {5, 30} else keys[:2]
    return Checked(
        book="*",
        keys=used,
        expected=f"factor {factor} at {celsius} °C",
        source=f"{IEC}, annex",
        basis=SECOND_HAND,
        run=run,
    )


GB_CORD = ("earth.plus-cord",)
STEPS = tuple(f"earth.steps.{name}" for name in ("first", "first-length", "each", "each-length", "most"))

CHECKED = (
    *(conductor_row(size, value, tinned=False) for size, value in PLAIN.items()),
    *(conductor_row(size, value, tinned=True) for size, value in TINNED.items()),
    lead_row("1.5", 5, "0.07"),
    lead_row("1.5", 20, "0.27"),
    lead_row("2.5", 20, "0.16"),
    *(annex_row(t, f) for t, f in ((5, "1.064"), (10, "1.042"), (15, "1.020"), (25, "0.980"), (30, "0.962"))),
    # gb: the cord's resistance is added
    limit_row(
        "gb",
        (*GB_CORD, "conductor.plain.csa_1"),
        EARTH,
        item(cord="1.0 x 2.0"),
        high="0.139",
        source=COP,
        basis=SECOND_HAND,
    ),
    limit_row("gb", GB_CORD, EARTH, item(cord="0.75 x 0.75"), high="0.1195", source=COP, basis=DERIVED),
    limit_row("gb", GB_CORD, EARTH, item(cord="1.0 x 3"), high="0.1585", source=COP, basis=SECOND_HAND),
    limit_row(
        "gb", GB_CORD, EARTH, item("1", "extension-lead", cord="2.5 x 25"), high="0.2995", source=COP, basis=DERIVED
    ),
    limit_row(
        "gb",
        GB_CORD,
        EARTH,
        item("2", "cord-set", cord="1.5 x 2"),
        high="0.1266",
        source="CoP 15.10",
        basis=SECOND_HAND,
    ),
    finding_row(
        "gb",
        (*GB_CORD, "conductor.plain.csa_1"),
        EARTH,
        item(cord="1.0 x 2"),
        entries_for(EARTH, "0.12"),
        CheckResult.PASS,
        source="qualification worksheet for the 5th-edition CoP, Table A5.1",
        basis=PUBLISHED,
    ),
    finding_row(
        "gb",
        (*GB_CORD, "conductor.plain.csa_1"),
        EARTH,
        item(cord="1.0 x 1.75"),
        entries_for(EARTH, "0.14"),
        CheckResult.FAIL,
        source="qualification worksheet for the 5th-edition CoP, Table A5.1",
        basis=PUBLISHED,
    ),
    limit_row("gb", ("earth.flat",), EARTH, item(), high="0.1", source="plug-in instruments", basis=COMMON),
    *(
        limit_row(
            "gb", ("earth.flat-options",), EARTH, item(flat=ohms), high=ohms, source="plug-in instruments", basis=COMMON
        )
        for ohms in ("0.1", "0.2", "0.3", "0.5")
    ),
    stated_row("gb", "earth.test-current.low", "20", source=COP, basis=SECOND_HAND),
    stated_row("gb", "earth.test-current.high", "200", source=COP, basis=SECOND_HAND),
    stated_row("gb", "earth.test-current.fuse-factor", "1.5", source=COP, basis=SECOND_HAND),
    stated_row("gb", "earth.test-current.most", "25", source=COP, basis=SECOND_HAND),
    stated_row("gb", "earth.test-current.shortest", "5", source=COP, basis=SECOND_HAND),
    stated_row("gb", "earth.test-current.longest", "20", source=COP, basis=SECOND_HAND),
    # eu: the steps as printed, and lengths on either side of each
    *(
        limit_row("eu", keys, EARTH, item(cord=f"1.5 x {metres}"), high=ohms, source=EN, basis=SECOND_HAND)
        for metres, ohms, keys in (
            ("5.0", "0.3", STEPS[:2]),
            ("5.1", "0.4", STEPS[:3]),
            ("12.5", "0.4", STEPS[:4]),
            ("12.6", "0.5", STEPS[:4]),
            ("20", "0.5", STEPS[:4]),
            ("27.5", "0.6", STEPS[:4]),
            ("35", "0.7", STEPS[:4]),
            ("42.5", "0.8", STEPS[:4]),
            ("50", "0.9", STEPS[:4]),
            ("51", "1.0", STEPS),
            ("80", "1.0", STEPS[4:]),
        )
    ),
    limit_row("eu", ("earth.steps.csa-up-to",), EARTH, item(cord="1.5 x 2"), high="0.3", source=EN, basis=SECOND_HAND),
    limit_row(
        "eu",
        ("earth.steps.csa-up-to", "earth.plus-cord"),
        EARTH,
        item(cord="2.5 x 10"),
        high="0.1798",
        source=EN,
        basis=MEMORY,
    ),
    limit_row(
        "eu",
        ("earth.steps.current-up-to",),
        EARTH,
        item(cord="1.5 x 2", amps="16"),
        high="0.3",
        source=EN,
        basis=SECOND_HAND,
    ),
    limit_row(
        "eu",
        ("earth.steps.current-up-to", "earth.plus-cord"),
        EARTH,
        item(cord="1.5 x 2", amps="20"),
        high="0.1266",
        source=EN,
        basis=MEMORY,
    ),
    limit_row("eu", ("earth.flat",), EARTH, item(), high="0.3", source=EN, basis=SECOND_HAND),
    # anz: whatever the cord
    limit_row("anz", ("earth.flat",), EARTH, item(), high="1", source=ANZ, basis=SECOND_HAND),
    limit_row(
        "anz",
        ("earth.flat",),
        EARTH,
        item("1", "extension-lead", cord="1.0 x 30"),
        high="1",
        source=ANZ,
        basis=SECOND_HAND,
    ),
    finding_row(
        "anz",
        ("earth.flat",),
        EARTH,
        item(),
        entries_for(EARTH, "1.01"),
        CheckResult.FAIL,
        source=ANZ,
        basis=SECOND_HAND,
    ),
    finding_row(
        "anz",
        ("earth.flat",),
        EARTH,
        item(),
        entries_for(EARTH, "1.00"),
        CheckResult.PASS,
        source=ANZ,
        basis=SECOND_HAND,
    ),
)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_earth_figures_agree_with_their_sources(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


def test_a_limit_that_the_source_shows_rounded_is_compared_unrounded() -> None:
    # Worked example of the CoP: 1.0 mm² × 3 m, 0.1585 Ω shown as 0.16 (second-hand).
    limit = limit_of(EARTH, item(cord="1.0 x 3"), load_rule_book("gb"))
    assert isinstance(limit, Limit)
    assert limit.high is not None
    assert round(limit.high, 2) == D("0.16")
    assert limit.arithmetic == "0.1 + 19.5 mΩ/m × 3 m = 0.1585 Ω"


def test_the_protective_conductor_of_a_long_lead_is_reckoned_from_the_table() -> None:
    # 1.5 mm² × 45 m: 0.5985 Ω (second-hand).
    assert cord_resistance(Cord(csa_mm2=D("1.5"), length_m=D(45)), load_rule_book("gb")) == D("0.5985")


def test_a_conductor_size_of_no_table_is_refused_and_the_sizes_named() -> None:
    with pytest.raises(InputRefused, match=r"2 mm² .* choose from 0\.5, 0\.75, 1, 1\.25, 1\.5, 2\.5, 4, 6, 10, 16 mm²"):
        cord_resistance(Cord(csa_mm2=D("2.0"), length_m=D(1)), load_rule_book("gb"))


def test_six_square_millimetres_follow_the_table_and_not_the_area() -> None:
    # 3.30 mΩ/m, where 19.5 / 6 would be 3.25 (second-hand).
    assert cord_resistance(Cord(csa_mm2=D(6), length_m=D(1000)), load_rule_book("gb")) == D("3.30")
