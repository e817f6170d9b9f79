"""Readings as instruments show them: exact, with the comparator and the text as typed."""

import re
import unicodedata
from decimal import Decimal
from enum import StrEnum
from typing import Final

from msgspec import Struct

from appreg.core.values.text import shown
from appreg.errors import InputRefused


class Comparator(StrEnum):
    """What stands before the figure on the display."""

    EQUAL = "="
    LESS = "<"
    GREATER = ">"


class Unit(StrEnum):
    """The unit in which a check is compared with its limit."""

    OHM = "Ω"
    MEGOHM = "MΩ"
    MILLIAMP = "mA"
    MILLISECOND = "ms"
    MILLIWATT_PER_CM2 = "mW/cm²"


class Reading(Struct, frozen=True, kw_only=True):
    """One reading, in the unit of its check."""

    typed: str
    """As the person typed it, trimmed."""
    comparator: Comparator
    value: Decimal | None
    """None: over the instrument's range, with nothing said of the range (OL)."""
    unit: Unit


_QUOTED: Final = 40
"""Characters of a typed text that an error repeats."""

_LONGEST_FIGURE: Final = 12
"""No instrument shows more digits; longer input is a slip or worse."""

_FIGURE: Final = r"(?a)([<>]?)\s*([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*([^0-9\s.,<>=+-][^0-9]*[0-9]?)?"
_OVER_RANGE: Final = r"(?ai)>?\s*O[./]?L\.?\s*([^0-9\s.,<>=+-][^0-9]*[0-9]?)?"

_POINT_AS_LETTER: Final = r"(?a)([<>]?)\s*([0-9]+)([RrKkM])([0-9]*)"
"""Resistance as makers mark it, the letter where the point would be: 0R08, 4k7, 2M."""
_LETTER_BEHIND: Final = r"(?a)([<>]?\s*(?:[0-9]+\.?[0-9]*|\.[0-9]+))\s*([RrKkMG])"
"""The unit without its Ω, as displays that have none show it: 19.99 M, 0.08 R."""
_LETTERS: Final = {"R": "Ω", "K": "kΩ", "M": "MΩ", "G": "GΩ"}
_DECIMAL_COMMA: Final = r"(?a)([<>]?\s*[0-9]*),([0-9]{1,2})(?![0-9.,])"
"""One comma with one or two digits behind it; three digits may be thousands."""
_MILLI_OR_MEGA: Final = r"(?ai)[0-9.,\s<>]+m\s*(?:ohms?|Ω)"

_POWERS: Final = {"": 0, "µ": -6, "m": -3, "k": 3, "M": 6, "G": 9}
_RESISTANCE: Final = {
    **{
        f"{prefix}{name}": power
        for prefix, power in _POWERS.items()
        for name in ("Ω", "ohm", "ohms", "Ohm", "Ohms", "OHM", "OHMS")
    },
    "megohm": 6,
    "megohms": 6,
    "Megohm": 6,
}
_CURRENT: Final = {f"{prefix}A": power for prefix, power in _POWERS.items() if power <= 0}
_TIME: Final = {"s": 0, "ms": -3, "µs": -6, "sec": 0}
_DENSITY: Final = {"mW/cm²": 0, "mW/cm2": 0, "W/m²": -1, "W/m2": -1}

_FAMILIES: Final[dict[Unit, tuple[str, dict[str, int], int]]] = {
    Unit.OHM: ("resistance", _RESISTANCE, 0),
    Unit.MEGOHM: ("resistance", _RESISTANCE, 6),
    Unit.MILLIAMP: ("current", _CURRENT, -3),
    Unit.MILLISECOND: ("time", _TIME, -3),
    Unit.MILLIWATT_PER_CM2: ("power density", _DENSITY, 0),
}
"""By unit of the check: what it measures, the powers of ten of the units of its kind, and its own."""


def parse_reading(text: str, unit: Unit) -> Reading:
    """Read what an instrument shows; raises InputRefused with the reason in one sentence."""
    typed = text.strip()
    plain = unicodedata.normalize("NFC", typed).replace("\u03bc", "\u00b5").replace("uA", "\u00b5A")
    plain = _spelled_out(typed, plain, unit)
    over = re.fullmatch(_OVER_RANGE, plain)
    if over:
        _power(typed, over.group(1), unit)
        return Reading(typed=typed, comparator=Comparator.GREATER, value=None, unit=unit)
    match = re.fullmatch(_FIGURE, plain)
    if match is None:
        raise InputRefused(f"Reading {_quoted(typed)} {_why_not(plain, unit)}.")
    sign, figure, suffix = match.groups()
    if sum(c.isdigit() for c in figure) > _LONGEST_FIGURE:
        raise InputRefused(
            f"Reading {_quoted(typed)} has more than {_LONGEST_FIGURE} digits; type what the display shows."
        )
    value = Decimal(figure).scaleb(_power(typed, suffix, unit))
    return Reading(typed=typed, comparator=Comparator(sign or "="), value=value, unit=unit)


def _spelled_out(typed: str, plain: str, unit: Unit) -> str:
    """The text with a point for a decimal comma and a unit for a letter that stands for the point."""
    plain = re.sub(_DECIMAL_COMMA, r"\1.\2", plain, count=1) if plain.count(",") == 1 else plain
    if unit not in {Unit.OHM, Unit.MEGOHM}:
        return plain
    lettered = re.fullmatch(_POINT_AS_LETTER, plain)
    if lettered:
        sign, whole, letter, rest = lettered.groups()
        return f"{sign}{whole}.{rest or '0'} {_LETTERS[letter.upper()]}"
    behind = re.fullmatch(_LETTER_BEHIND, plain)
    if behind:
        return f"{behind[1].rstrip('.')} {_LETTERS[behind[2].upper()]}"
    if unit is Unit.MEGOHM and re.fullmatch(_MILLI_OR_MEGA, plain) and "M" not in plain:
        raise InputRefused(
            f"Reading {_quoted(typed)} says milliohms, which no insulation has; type it in MΩ, as in 200 MΩ."
        )
    return plain


def _power(typed: str, suffix: str | None, unit: Unit) -> int:
    """The power of ten that turns the typed unit into the check's."""
    kind, powers, own = _FAMILIES[unit]
    name = (suffix or "").strip()
    if not name:
        return 0
    if name not in powers:
        raise InputRefused(f"Reading {_quoted(typed)} is not in a unit of {kind}; type it in {unit}.")
    return powers[name] - own


def _why_not(plain: str, unit: Unit) -> str:
    """Say why a text is not a reading, and what to type."""
    if not plain:
        return "is empty; type what the display shows"
    if any(c.isdigit() and not c.isascii() for c in plain):
        return "has digits other than 0 to 9; type it with plain digits"
    comma = re.fullmatch(r"[<>]?\s*([0-9]*),([0-9]+)(.*)", plain, re.ASCII)
    if comma:
        whole, rest = comma.group(1) or "0", comma.group(2)
        return f"may have a decimal comma or a thousand; type {whole}.{rest} or {whole}{rest}"
    if re.match(r"[<>]?\s*[-\u2212]\s*[0-9.]", plain):
        return "is negative, which no such instrument shows; type what the display shows"
    if plain[0] in "≤≥" or plain[:2] in {"<=", ">="}:
        return "needs the sign that the display shows; type < or > alone"
    return f"is not a figure an instrument shows; type it like 0.08, >299 or OL, in {unit}"


def _quoted(typed: str) -> str:
    """The typed text, safe and short enough to stand in a sentence."""
    safe = shown(typed)
    return f"'{safe if len(safe) <= _QUOTED else safe[: _QUOTED - 1] + '…'}'"
