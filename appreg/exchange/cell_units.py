"""Units as tables write them, in heads and behind figures, and what they are of the field's own."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from appreg.core.values.readings import Unit

_LENGTH: Final = {"m": 0, "metre": 0, "metres": 0, "meter": 0, "meters": 0, "mtr": 0, "cm": -2, "mm": -3}
_VOLTS: Final = {"V": 0, "v": 0, "volt": 0, "volts": 0, "Volts": 0, "V dc": 0, "V d.c.": 0, "V DC": 0, "VDC": 0, "Vdc": 0, "V ac": 0, "V AC": 0,
                 "V~": 0, "V a.c.": 0, "VAC": 0, "Vac": 0, "kV": 3}  # fmt: skip
_AMPS: Final = {"A": 0, "a": 0, "amp": 0, "amps": 0, "Amp": 0, "Amps": 0, "mA": -3}
_WATTS: Final = {"W": 0, "w": 0, "watt": 0, "watts": 0, "Watt": 0, "Watts": 0, "kW": 3, "KW": 3, "kw": 3, "VA": 0}
_MINUTES: Final = {"min": 0, "mins": 0, "minutes": 0, "minute": 0}
_BY_UNIT: Final[Mapping[str, tuple[Mapping[str, int], int]]] = {
    "mm²": ({"mm²": 0, "mm2": 0, "sq mm": 0, "sqmm": 0, "mm^2": 0, "qmm": 0}, 0),
    "m": (_LENGTH, 0),
    "V": (_VOLTS, 0),
    "A": (_AMPS, 0),
    "mA": ({"mA": 0, "ma": 0, "A": 3}, 0),
    "W": (_WATTS, 0),
    "kVA": ({"kVA": 0, "kva": 0, "VA": -3, "kW": 0}, 0),
    "ms": ({"ms": 0, "mS": 0, "s": 3}, 0),
    "Ω": ({"Ω": 0, "ohm": 0, "ohms": 0, "mΩ": -3, "kΩ": 3}, 0),
    "min": (_MINUTES, 0),
    "°C": ({"°C": 0, "C": 0, "deg C": 0, "degC": 0}, 0),
    "": ({}, 0),
}
"""By unit of a field of figures: what may stand behind a figure, and the power of ten that makes it the field's own."""
_READING_UNITS: Final[Mapping[str, tuple[str, ...]]] = {
    Unit.OHM: ("Ω", "mΩ", "kΩ", "MΩ", "GΩ", "µΩ"),
    Unit.MEGOHM: ("MΩ", "GΩ", "kΩ", "Ω"),
    Unit.MILLIAMP: ("mA", "µA", "A"),
    Unit.MILLISECOND: ("ms", "s", "µs"),
    Unit.MILLIWATT_PER_CM2: ("mW/cm²", "W/m²"),
}
_SPELLED: Final = {"r": "Ω", "MA": "mA", "mS": "ms", "mW/cm2": "mW/cm²", "W/m2": "W/m²", "mm2": "mm²", "sq mm": "mm²"}
_WRITTEN_OUT: Final = re.compile(
    r"(?i)(milli|micro|kilo?|mega?|giga|[mkgµu])?[ -]?(ohms?|Ω|amps?|amperes?|a|secs?|seconds?|s)\.?"
)
_PREFIXES: Final = {
    "milli": "m", "micro": "µ", "u": "µ", "kil": "k", "kilo": "k", "k": "k", "meg": "M", "mega": "M", "giga": "G", "g": "G",
}  # fmt: skip
_BASES: Final = {"o": "Ω", "ω": "Ω", "a": "A", "s": "s"}
"""By the first letter of what is measured in: how the program writes it."""
_OHM_SIGN: Final = str.maketrans({"\u2126": "Ω", "\u03bc": "µ"})
_FIGURE_THEN_UNIT: Final = re.compile(
    r"([0-9]{1,3}(?:[\u00a0\u202f ' ][0-9]{3})+(?![0-9])(?:[.,][0-9]+)?|[0-9][0-9.,]*|[.,][0-9]+)\s*(.*)", re.DOTALL
)


def unit_named(text: str) -> str:
    """A unit as the program writes it: MΩ for Mohms; as it stands where it is not known otherwise."""
    plain = " ".join(text.translate(_OHM_SIGN).split())
    return _SPELLED.get(plain) or _written_out(plain) or plain


def _written_out(plain: str) -> str:
    """A unit of resistance, current or time as the program writes it; empty where it is none, or only a letter."""
    found = _WRITTEN_OUT.fullmatch(plain) if len(plain) > 1 else None
    if found is None:
        return ""
    before, base = found[1] or "", _BASES[found[2][0].lower()]
    # Of resistance alone a capital M is a million; nothing here measures megaamperes or megaseconds.
    prefix = _PREFIXES.get(before.lower()) or (before if base == "Ω" else before.lower())
    return f"{prefix}{base}"


def fits(unit: str, own: str, *, reading: bool) -> bool:
    """Tell whether a unit is one of the kind that a field has."""
    if reading:
        return unit_named(unit) in _READING_UNITS.get(own, ())
    known = _BY_UNIT.get(own, ({}, 0))[0]
    return unit in known or unit_named(unit) in known


def power_of_ten(unit: str, own: str) -> int | None:
    """The power of ten that makes a figure in a unit one in the field's own; None where it is of another kind."""
    known, _ = _BY_UNIT.get(own, ({}, 0))
    return known.get(unit, known.get(unit_named(unit)))


def apart(text: str) -> tuple[str, str]:
    """A figure and what stands behind it; the whole text behind an empty figure where there is none."""
    found = _FIGURE_THEN_UNIT.fullmatch(text)
    return (found[1], found[2].strip()) if found else ("", text)


def figure_text(value: Decimal) -> str:
    """A figure in plain digits with a point."""
    return f"{value:f}"
