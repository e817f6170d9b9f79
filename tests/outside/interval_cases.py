"""Retest intervals transcribed from their published tables, apart from the program's own data.

Each case: environment; class; type; what else selects the row; user check, visual, test; basis.
An interval is written 'shortest/longest', one figure, or events; '-' is none needed, '?' not stated.
HSG107 and INDG236 are HSE's (Open Government Licence); the figures marked published are as a council's
page repeats the leaflet; CoP 2007 and AS/NZS cells are as trade summaries quote them (second-hand).
"""

from typing import Final

from msgspec import Struct


class IntervalCase(Struct, frozen=True):
    """One cell row of a published table."""

    table: str
    environment: str
    appliance_class: str
    equipment_type: str
    user_check: str
    visual: str
    test: str
    basis: str
    battery: bool = False
    rcd: str = ""
    source: str = ""


def _hsg(  # noqa: PLR0917 - one row of the table a line
    environment: str, kind: str, user: str, visual: str, test: str, basis: str, **more: bool | str
) -> IntervalCase:
    item = kind.split()
    in_leaflet = environment == "low-risk" or item[0] == "3"
    source = "HSE INDG236" if in_leaflet and not more.get("battery") else "HSE HSG107"
    return IntervalCase(
        "hsg107-2013",
        environment,
        item[0],
        item[1],
        user,
        visual,
        test,
        basis,
        battery=bool(more.get("battery", False)),
        rcd=str(more.get("rcd", "")),
        source=source,
    )


_HSG_ENVIRONMENTS: Final = (
    "low-risk", "public", "light-industrial", "heavy-industrial", "construction-110", "construction-230",
    "construction-office", "hire",
)  # fmt: skip

HSG107: Final = (
    *(_hsg(place, "2 portable", "-", "-", "-", "second-hand", battery=True) for place in _HSG_ENVIRONMENTS),
    *(_hsg(place, "3 portable", "-", "-", "-", "published") for place in _HSG_ENVIRONMENTS),
    _hsg("hire", "1 portable", "-", "before issue, after return", "before issue", "second-hand"),
    _hsg("hire", "2 hand-held", "-", "before issue, after return", "before issue", "second-hand"),
    _hsg("construction-110", "2 hand-held", "P7D", "P1M", "P3M before first use on site", "second-hand"),
    _hsg("construction-110", "1 extension-lead", "P7D", "P1M", "P3M before first use on site", "second-hand"),
    _hsg("construction-230", "1 hand-held", "P1D every shift", "P7D", "P1M before first use on site", "second-hand"),
    _hsg(
        "construction-230", "1 fixed", "P1D every shift", "P7D", "P3M before first use on site", "memory", rcd="fixed"
    ),
    _hsg(
        "construction-110",
        "2 portable",
        "P1D every shift",
        "P7D",
        "P1M before first use on site",
        "memory",
        rcd="portable",
    ),
    _hsg("construction-office", "1 it", "P1M", "P6M", "P1Y before first use on site", "memory"),
    _hsg("light-industrial", "1 portable", "before use", "P6M before initial use", "P6M/P1Y", "second-hand"),
    _hsg("heavy-industrial", "2 hand-held", "P1D", "P7D", "P6M/P1Y", "second-hand"),
    _hsg("low-risk", "2 it", "-", "P2Y/P4Y", "-", "published"),
    _hsg("low-risk", "1 it", "-", "P2Y/P4Y", "P5Y", "published"),
    _hsg("low-risk", "2 portable", "-", "P2Y/P4Y", "-", "published"),
    _hsg("low-risk", "2 movable", "-", "P2Y/P4Y", "-", "published"),
    _hsg("low-risk", "2 stationary", "-", "P2Y/P4Y", "-", "published"),
    _hsg("low-risk", "2 hand-held", "before use", "P6M/P1Y", "-", "published"),
    _hsg("low-risk", "1 portable", "before use", "P6M/P1Y", "P1Y/P2Y", "published"),
    _hsg("low-risk", "1 stationary", "before use", "P6M/P1Y", "P1Y/P2Y", "published"),
    _hsg("low-risk", "unknown portable", "before use", "P6M/P1Y", "P1Y/P2Y", "published"),
    _hsg("low-risk", "1 extension-lead", "before use", "P6M/P4Y", "P1Y/P5Y", "memory"),
    _hsg("low-risk", "2 cord-set", "before use", "P6M/P4Y", "P1Y/P5Y", "memory"),
    # A kettle in a hotel room, and everything else the public uses.
    _hsg("public", "1 portable", "by staff", "P3M", "P1Y", "second-hand"),
    _hsg("public", "2 hand-held", "by staff", "P3M", "P1Y", "second-hand"),
    _hsg("public", "1 extension-lead", "by staff", "P3M", "P1Y", "second-hand"),
)

_PREMISES_TYPES: Final = ("stationary", "it", "movable", "portable", "hand-held")
_PREMISES_MONTHS: Final = {
    # CoP 3rd ed. 2007 Table 7.1: Class I S, IT, M, P, H; then Class II. 'a/b' where two summaries disagree.
    "construction-110": ("3 3 3 3 3", "3 3 3 3 3"),
    "industrial": ("12 12 12 6 6", "12 12 12 6 6"),
    "public": ("12 12 6 6 6", "12 12 12 12 12"),
    "schools": ("12 12 12 6/12 6/12", "48 48 48 48 48"),
    "hotels-offices-shops": ("24/48 24/48 12/24 12/24 6/12", "24 24 24 24 24"),
}


def _as_periods(months: str) -> str:
    periods = [f"P{int(part) // 12}Y" if int(part) % 12 == 0 else f"P{part}M" for part in months.split("/")]
    return "/".join(periods)


def _premises_cases() -> tuple[IntervalCase, ...]:
    return tuple(
        IntervalCase(
            "premises-2007", place, cls, kind, "?", "?", _as_periods(cell), "second-hand", source="CoP, Table 7.1"
        )
        for place, columns in _PREMISES_MONTHS.items()
        for cls, row in zip(("1", "2"), columns, strict=True)
        for kind, cell in zip(_PREMISES_TYPES, row.split(), strict=True)
    )


# The edition has no column for leads; taking the Class I portable figure is the program's caution (memory).
_PREMISES_LEADS: Final = tuple(
    IntervalCase("premises-2007", place, "1", "extension-lead", "?", "?", test, "memory", source="CoP, Table 7.1")
    for place, test in (
        ("industrial", "P6M"),
        ("public", "P6M"),
        ("schools", "P6M/P1Y"),
        ("hotels-offices-shops", "P1Y/P2Y"),
    )
)
PREMISES: Final = (*_premises_cases(), *_PREMISES_LEADS)

_DGUV: Final = "DGUV Vorschrift 3, table 1B"
_DGUV_INFORMATION: Final = "DGUV Information 203-005"
DGUV: Final = tuple(
    IntervalCase("dguv-v3", place, "1", "portable", "-", "-", test, "published", source=source)
    for place, test, source in (
        ("workshop", "P6M/P1Y", _DGUV),
        ("office", "P6M/P2Y", _DGUV),
        ("construction", "P3M/P1Y", _DGUV),
        ("metal-grinding", "P7D", _DGUV_INFORMATION),
        ("wet-grinding", "P3M", _DGUV_INFORMATION),
        ("tunnels", "P3M", _DGUV_INFORMATION),
        ("building-trades", "P3M/P6M", _DGUV_INFORMATION),
    )
)

_ANZ_2003: Final = """
    workshop     1 portable        -  -  P6M
    workshop     2 portable        -  -  P1Y
    workshop     1 cord-set        -  -  P6M
    hostile      1 hand-held       -  -  P1Y
    hostile      2 hand-held       -  -  P1Y
    hostile      1 extension-lead  -  -  P1Y
    benign       1 stationary      -  -  P5Y
    benign       2 stationary      -  -  P5Y
    benign       1 extension-lead  -  -  P5Y
    residential  1 portable        -  -  P2Y
    residential  2 portable        -  -  P2Y
    residential  2 cord-set        -  -  P2Y
    cleaning     1 movable         -  -  P6M
    cleaning     2 movable         -  -  P1Y
    cleaning     1 extension-lead  -  -  P1Y
    hire         1 portable        -  before_hire  P3M
    hire         2 portable        -  ?            P3M
    hire         1 extension-lead  -  before_hire  P3M
"""
_ANZ_2010: Final = """
    workshop     1 portable        -  -  P6M
    workshop     2 portable        -  -  P6M
    workshop     1 cord-set        -  -  P6M
    hostile      2 hand-held       -  -  P1Y
    benign       1 stationary      -  -  P5Y
    residential  2 portable        -  -  P2Y
    cleaning     2 movable         -  -  P6M
    hire         1 portable        -  ?  P3M
"""
# Push-button, then trip time; portable and fixed devices.
_ANZ_RCD: Final = """
    workshop     portable  P1D_before_use  P1Y
    workshop     fixed     P6M             P1Y
    hostile      portable  P3M             P1Y
    hostile      fixed     P6M             P1Y
    benign       portable  P3M             P2Y
    benign       fixed     P6M             P2Y
    residential  portable  P6M             P2Y
    residential  fixed     P6M             P2Y
    cleaning     portable  P3M             P1Y
    hire         portable  ?               P3M
    hire         fixed     ?               P1Y
"""


def _anz_cases(table: str, lines: str) -> list[IntervalCase]:
    cases = []
    for line in lines.strip().splitlines():
        place, cls, kind, user, visual, test = line.split()
        cases.append(
            IntervalCase(
                table, place, cls, kind, user, visual.replace("_", " "), test, "second-hand", source="AS/NZS 3760"
            )
        )
    return cases


def _rcd_cases(table: str, basis: str) -> list[IntervalCase]:
    cases = []
    for line in _ANZ_RCD.strip().splitlines():
        place, mounting, push, trip = line.split()
        case = IntervalCase(
            table, place, "2", mounting, push.replace("_", " "), "-", trip, basis, rcd=mounting, source="AS/NZS 3760"
        )
        cases.append(case)
    return cases


def _anz_construction(table: str) -> list[IntervalCase]:
    """AS/NZS 3012, as a code of practice quotes it."""
    return [
        IntervalCase(table, "construction", "1", "hand-held", "-", "-", "P3M", "second-hand", source="AS/NZS 3012"),
        IntervalCase(
            table, "construction", "2", "portable", "P1D before each use", "-", "P3M", "second-hand",
            rcd="portable", source="AS/NZS 3012",
        ),
    ]  # fmt: skip


ANZ: Final = (
    *_anz_cases("anz-2003", _ANZ_2003),
    *_rcd_cases("anz-2003", "second-hand"),
    *_anz_construction("anz-2003"),
    *_anz_cases("anz-2010", _ANZ_2010),
    # The RCD cells of 2010 have not been seen: those of 2003 stand in, marked as from memory.
    *_rcd_cases("anz-2010", "memory"),
    *_anz_construction("anz-2010"),
)

CASES: Final = (*HSG107, *PREMISES, *DGUV, *ANZ)
