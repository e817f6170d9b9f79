"""What the cells of one column say of it: which forms they fit, how decimals are marked, in which order days stand."""

import re
from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from typing import Final

from appreg.core.values.readings import Unit
from appreg.exchange.cell_days import day_of, may_be_counted, orders_of, says_its_order
from appreg.exchange.cell_figures import figure_of, reading_of
from appreg.exchange.cell_refused import CellRefused
from appreg.exchange.cell_units import fits, unit_named
from appreg.exchange.cell_words import says_pass_or_fail, verdict_meant, word_meant
from appreg.exchange.column_mapping import BLANKS, OVER_RANGE, DateOrder
from appreg.exchange.import_fields import FieldForm, ImportField
from appreg.exchange.long_rows import check_named

_LOOKED_AT: Final = 60
"""Cells that forms are tried on."""
_COMMA: Final = re.compile(r"[<>]?\s*([0-9]*),([0-9]+)")
_POINT: Final = re.compile(r"[<>]?\s*([0-9]*)\.([0-9]+)")
_MONTHS: Final = 12
_GROUP: Final = 3
"""Figures between the marks of thousands."""
_READING_UNITS: Final = (Unit.OHM, Unit.MEGOHM, Unit.MILLIAMP, Unit.MILLISECOND, Unit.MILLIWATT_PER_CM2)


class Contents:
    """The cells of one column, those that say nothing left out."""

    def __init__(self, cells: Iterable[tuple[str, bool]]) -> None:
        """Take the cells, each with whether the file itself holds it as a figure or a day."""
        told = [(cell.strip(), exact) for cell, exact in cells]
        self._told = [(cell, exact) for cell, exact in told if cell and cell.casefold() not in BLANKS]
        self._tried = self._told[:_LOOKED_AT]

    @property
    def is_empty(self) -> bool:
        """Tell whether no cell says anything."""
        return not self._told

    @property
    def texts(self) -> list[str]:
        """The cells that say something."""
        return [cell for cell, _ in self._told]

    @property
    def all_pass_or_fail(self) -> bool:
        """Tell whether every cell says that something passed or failed, and no more than that."""
        return bool(self._told) and all(map(says_pass_or_fail, self.texts))

    @property
    def all_pass(self) -> bool:
        """Tell whether every cell says that something passed, and no more."""
        return all(verdict_meant(cell) == "ok" for cell in self.texts)

    def fit(self, field: ImportField, unit: str) -> float:
        """The share of cells that a field takes, those without a unit in that of the head; 1 where there are none."""
        if not self._tried:
            return 1.0
        if field.name in _LONG_TRIALS:
            return self._share(_LONG_TRIALS[field.name])
        if field.form is FieldForm.TEXT:
            return self._text_fit()
        known = unit if fits(unit, field.unit, reading=field.form is FieldForm.READING) else ""
        return self._share(lambda cell: _takes(field, cell, known))

    def _share(self, taken: Callable[[str], bool]) -> float:
        return sum(1 for cell, _ in self._tried if taken(cell)) / len(self._tried)

    def _text_fit(self) -> float:
        """Words stand anywhere, so that they say little for a field; days are seldom meant as words."""
        return 0.4 if self.days_share > 0.8 else 0.9  # noqa: PLR2004

    @cached_property
    def days_share(self) -> float:
        """The share of cells that are days."""
        return self._share(lambda cell: bool(orders_of(cell))) if self._tried else 0.0

    @cached_property
    def distinct_share(self) -> float:
        """The share of cells that stand only once."""
        return len(set(self.texts)) / len(self._told) if self._told else 0.0

    @cached_property
    def decimals(self) -> frozenset[str]:
        """The decimal marks that cells leave no doubt of; `?,` and `?.` where one may stand before decimals or thousands."""
        marks = set()
        for cell, exact in self._told:
            if not exact and (mark := _mark_of(cell)):
                marks.add(mark)
        return frozenset(marks)

    @cached_property
    def unsure_days(self) -> list[str]:
        """The days whose order does not follow from their form."""
        return [cell for cell, exact in self._told if not exact and orders_of(cell) and not says_its_order(cell)]

    @property
    def days_may_be_turned(self) -> bool:
        """Tell whether all days up to the 12th are days to the file, and all others texts.

        A spreadsheet that puts the month first leaves a column of days with the day first so, and has turned the former round.
        """
        held = [cell for cell, exact in self._told if exact and says_its_order(cell)]
        if not held or not self.unsure_days or any(_day_of_month(cell) > _MONTHS for cell in held):
            return False
        return all({DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST} - orders_of(cell) for cell in self.unsure_days)

    def orders(self) -> frozenset[DateOrder]:
        """The orders in which every day of the column can be read; all of them where none matters."""
        left = frozenset(DateOrder)
        for cell in self.unsure_days:
            left &= orders_of(cell)
        return left


def _day_of_month(cell: str) -> int:
    return day_of(cell, None).day


def _mark_of(cell: str) -> str:
    comma, point = "," in cell, "." in cell
    if comma and point:
        return "," if cell.rindex(",") > cell.rindex(".") else "."
    if comma and (found := _COMMA.match(cell)):
        return "?," if _may_be_thousands(found) else ","
    if point and (found := _POINT.match(cell)):
        return "?." if _may_be_thousands(found) else "."
    return ""


def _may_be_thousands(found: re.Match[str]) -> bool:
    return len(found[2]) == _GROUP and found[1] not in {"", "0"} and not found[1].startswith("0")


def _takes(field: ImportField, cell: str, unit: str) -> bool:
    if field.form is FieldForm.DAY:
        return bool(orders_of(cell)) or may_be_counted(cell)
    if field.form in {FieldForm.CHOICE, FieldForm.FLAG, FieldForm.VERDICT}:
        return word_meant(field, cell) is not None
    if field.form is FieldForm.READING:
        return _is_reading(cell, Unit(field.unit), unit)
    return any(_is_figure(field, cell, decimal, unit) for decimal in ".,")


def _is_reading(cell: str, own: Unit, unit: str = "") -> bool:
    if cell.upper() in OVER_RANGE or (own is Unit.MILLISECOND and cell.casefold() in {"none", "no trip"}):
        return True
    for decimal in ".,":
        try:
            reading_of(cell, own, unit, decimal)
        except CellRefused:
            continue
        return True
    return False


def _is_figure(field: ImportField, cell: str, decimal: str, unit: str) -> bool:
    try:
        figure_of(cell, field.unit, unit, decimal, whole=field.form is FieldForm.WHOLE)
    except CellRefused:
        return False
    return True


def _any_reading(cell: str) -> bool:
    return any(_is_reading(cell, unit) for unit in _READING_UNITS) or cell.casefold() in {"pass", "fail", "ok"}


def _is_unit(cell: str) -> bool:
    return unit_named(cell) in {"Ω", "mΩ", "kΩ", "MΩ", "GΩ", "mA", "µA", "A", "ms", "s", "V", "kVA", "mW/cm²"}


_LONG_TRIALS: Final[dict[str, Callable[[str], bool]]] = {
    "test": lambda cell: check_named(cell, {}) is not None,
    "reading": _any_reading,
    "unit": _is_unit,
}


def columns_of(rows: Sequence[tuple[Sequence[str], frozenset[int]]], width: int) -> list[Contents]:
    """The contents of each column of some rows."""
    return [Contents((cells[at], at in exact) for cells, exact in rows if at < len(cells)) for at in range(width)]
