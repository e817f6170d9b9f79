"""Figures and readings as tables write them: decimal marks, thousands, units, and what stands for beyond the range."""

import re
from decimal import Decimal
from typing import Final

from appreg.core.values.readings import Comparator, Unit, parse_reading
from appreg.errors import InputRefused
from appreg.exchange.cell_refused import CellRefused, quoted
from appreg.exchange.cell_units import apart, figure_text, power_of_ten, unit_named

_LONGEST: Final = 40
"""Characters of what a figure stands in; anything longer is none."""
_GROUPED: Final = {
    ".": re.compile(r"[1-9][0-9]{0,2}(?:[,\u00a0\u202f ' ][0-9]{3})+(?:\.[0-9]+)?"),
    ",": re.compile(r"[1-9][0-9]{0,2}(?:[.\u00a0\u202f ' ][0-9]{3})+(?:,[0-9]+)?"),
}
"""By decimal mark: a figure with marks between its thousands."""
_PLAIN: Final = re.compile(r"[0-9]{1,12}(?:\.[0-9]{1,9})?|\.[0-9]{1,9}")
_BESIDE: Final = re.compile(r"(?<=[0-9])\s*/\s*(?=[<>]?\s*[0-9])")
"""The stroke between readings that stand side by side."""
_MAY_BE_EITHER: Final = re.compile(r"[<>]?\s*[1-9][0-9]{0,2}([.,])[0-9]{3}(?![0-9.,])")
_SAY_WHICH: Final = "say in the mapping which mark stands before decimals in this column"
OVER: Final = "OL"
"""What the program itself reads as beyond the range."""


def pointed(figure: str, decimal: str) -> str:
    """A figure with a point before its decimals and nothing between its thousands; raises ValueError where it is none."""
    if _GROUPED[decimal].fullmatch(figure):
        figure = re.sub(r"[\u00a0\u202f ']", "", figure).replace("," if decimal == "." else ".", "")
    figure = figure.replace(",", ".") if decimal == "," else figure
    if not _PLAIN.fullmatch(figure):
        raise ValueError(figure)
    return figure


def refuse_doubtful_mark(text: str, decimal: str, todo: str = _SAY_WHICH) -> None:
    """Raise CellRefused where the other mark may stand before decimals too."""
    for part in _BESIDE.split(text[:_LONGEST]):
        found = _MAY_BE_EITHER.match(part.strip())
        if found and found[1] != decimal:
            raise CellRefused(f"{quoted(text)} may have a mark before decimals or between thousands", todo)


def figure_of(text: str, own: str, unit: str, decimal: str, *, whole: bool) -> str:
    """A figure in the field's own unit; raises CellRefused."""
    number, behind = apart(text) if len(text) <= _LONGEST else ("", text)
    behind = behind or unit or own
    power = 0 if behind == own else power_of_ten(behind, own)
    if number and power is None:
        raise CellRefused(f"{quoted(text)} is not in {own or 'figures alone'}", "correct the cell, or give its unit")
    try:
        value = Decimal(pointed(number, decimal)).scaleb(power or 0)
    except (ValueError, ArithmeticError):
        raise CellRefused(
            f"{quoted(text)} is not a figure", f"write it as in 1.5{', in ' + own if own else ''}"
        ) from None
    if not whole:
        return figure_text(value)
    if value != value.to_integral_value():
        raise CellRefused(f"{quoted(text)} is not a whole number", "leave the decimals out")
    return str(int(value))


def reading_of(text: str, own: Unit, unit: str, decimal: str) -> str:
    """A reading as the program's own field takes it, in the unit of its check; raises CellRefused."""
    if len(text) > _LONGEST:
        raise CellRefused(f"{quoted(text)} is not a reading", "write what the instrument showed")
    return "/".join(_one_reading(part, own, unit, decimal) for part in _BESIDE.split(text))


def _one_reading(text: str, own: Unit, unit: str, decimal: str) -> str:
    stripped = text.strip()
    sign = stripped[:1] if stripped[:1] in {"<", ">"} else ""
    number, behind = apart(stripped.removeprefix(sign).strip())
    try:
        plain = pointed(number, decimal)
    except ValueError:
        if number and not behind and unit_named(unit) not in {"", own}:
            return _as_it_stands(f"{stripped} {unit_named(unit)}", own, anew=True)
        return _as_it_stands(text, own)
    if any(each.isdigit() for each in behind.replace("cm2", "").replace("m2", "")):
        return _as_it_stands(text, own)
    behind = unit_named(behind or unit)
    if not behind or behind == own:
        return _as_it_stands(f"{sign}{plain}", own)
    return _as_it_stands(f"{sign}{plain} {behind}", own, anew=True)


def _as_it_stands(text: str, own: Unit, *, anew: bool = False) -> str:
    """The text, where the program's field takes it; with `anew` its figure in the unit of the check."""
    try:
        reading = parse_reading(text, own)
    except InputRefused as refused:
        raise CellRefused(str(refused).partition(";")[0].rstrip("."), "write what the instrument showed") from None
    if not anew or reading.value is None:
        return text
    sign = "" if reading.comparator is Comparator.EQUAL else reading.comparator.value
    return f"{sign}{figure_text(reading.value)}"
