"""Cells of a CSV file, read by the name of their column; every problem is gathered with its place."""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from typing import Final, TypeVar

from msgspec import Struct, field

from appreg.core.values.readings import Reading, Unit, parse_reading
from appreg.core.values.text import clean, unguarded_cell
from appreg.errors import InputRefused
from appreg.exchange.file_problems import FileProblem

T = TypeVar("T")
Choice = TypeVar("Choice", bound=StrEnum)

_YES_NO: Final = {"yes": True, "no": False}
_OK_BAD: Final = {"ok": True, "bad": False}
_LONGEST_FIGURE: Final = 15
"""Characters; anything longer is not a figure off a plate."""


class Column(Struct, frozen=True, kw_only=True):
    """One column: its name and what stands in it; declared once for reader, writer and documentation."""

    name: str
    meaning: str
    required: bool = False
    """A cell of it must not be empty."""


class Cells(Struct, kw_only=True):
    """The cells of one line; a cell that cannot be read gives None and notes a problem."""

    file: str
    line: int
    values: dict[str, str]
    problems: list[FileProblem] = field(default_factory=list)

    def text(self, column: str) -> str:
        """A cleaned text; empty where the cell is."""
        value = unguarded_cell(self.values.get(column, ""))
        return self._read(column, value, lambda text: clean(text, field=column)) or ""

    def choice(self, column: str, kind: type[Choice]) -> Choice | None:
        """A word of a closed set."""
        words = ", ".join(each.value for each in kind)
        return self._form(column, kind, f"is not one of {words}", "write one of them")

    def figure(self, column: str) -> Decimal | None:
        """An exact decimal."""
        return self._form(column, _figure, "is not a figure", "write it as 13 or 0.75")

    def whole(self, column: str) -> int | None:
        """A whole number."""
        return self._form(column, _whole, "is not a whole number", "write it as 2200")

    def day(self, column: str) -> date | None:
        """A date."""
        return self._form(column, date.fromisoformat, "is not a date", "write it as 2026-11-24")

    def flag(self, column: str) -> bool:
        """Yes or no; an empty cell is no."""
        return bool(self._form(column, _YES_NO.__getitem__, "is neither yes nor no", "write one of them"))

    def verdict(self, column: str) -> bool | None:
        """Ok or bad; an empty cell is not done."""
        return self._form(column, _OK_BAD.__getitem__, "is neither ok nor bad", "write one of them or leave it empty")

    def reading(self, column: str, unit: Unit) -> Reading | None:
        """A reading as an instrument shows it."""
        return self._read(column, self.values.get(column, "").strip(), lambda text: parse_reading(text, unit))

    def note(self, column: str, what: str, todo: str) -> None:
        """Note a problem of this line."""
        self.problems.append(FileProblem(file=self.file, line=self.line, column=column, what=what, todo=todo))

    def _form(self, column: str, read: Callable[[str], T], what: str, todo: str) -> T | None:
        text = self.values.get(column, "").strip()
        if not text:
            return None
        try:
            return read(text)
        except (ValueError, KeyError, InvalidOperation):
            self.note(column, f"“{text}” {what}", todo)
            return None

    def _read(self, column: str, text: str, read: Callable[[str], T]) -> T | None:
        """Read with a reader that tells its own reason."""
        if not text:
            return None
        try:
            return read(text)
        except InputRefused as problem:
            self.note(column, str(problem).rstrip("."), "correct the cell")
            return None


def read_cells(
    text: str, file: str, columns: Sequence[Column], *, more_columns: bool = False
) -> tuple[list[Cells], list[FileProblem]]:
    """The lines of a CSV text under its header, and the problems of the header and of required cells.

    With `more_columns` others may stand beside those named, which then must all be there, and lines that have nothing
    in those named are passed over: sums and sentences that stand below a table.
    """
    rows = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    try:
        first = next(rows, None)
        if first is None:
            return [], [FileProblem(file=file, line=1, column="", what="the file is empty", todo="write a header line")]
        header = [name.strip() for name in first]
        problems = list(_header_problems(file, header, columns, more_columns=more_columns))
        places = {column.name: header.index(column.name) for column in columns if column.name in header}
        lines = [] if problems else list(_lines(file, ((rows.line_num, row) for row in rows), len(header), places))
        if more_columns:
            lines = [line for line in lines if any(cell.strip() for cell in line.values.values())]
    except csv.Error as problem:
        return [], [FileProblem(file=file, line=rows.line_num, column="", what=str(problem), todo="mend its quotes")]
    for line in lines:
        _note_required(line, columns)
    return lines, problems


def _header_problems(
    file: str, header: list[str], columns: Sequence[Column], *, more_columns: bool
) -> Iterator[FileProblem]:
    known = {column.name for column in columns}
    for name in dict.fromkeys(header):
        if more_columns and name not in known:
            continue
        if name not in known:
            yield FileProblem(
                file=file, line=1, column=name, what="this column is not known", todo=f"use {', '.join(sorted(known))}"
            )
        if header.count(name) > 1:
            yield FileProblem(file=file, line=1, column=name, what="this column stands twice", todo="keep one of them")
    for column in columns:
        if (column.required or more_columns) and column.name not in header:
            yield FileProblem(file=file, line=1, column=column.name, what="this column is missing", todo="add it")


def _lines(
    file: str, numbered: Iterable[tuple[int, list[str]]], width: int, places: Mapping[str, int]
) -> Iterator[Cells]:
    """Each line with the cells of known columns alone: there may be thousands of others."""
    for number, row in numbered:
        if not any(cell.strip() for cell in row):
            continue
        cells = Cells(file=file, line=number, values={name: row[at] for name, at in places.items() if at < len(row)})
        if len(row) != width:
            cells.note("", f"it has {len(row)} cells, the header {width}", "add or remove commas")
        yield cells


def _note_required(line: Cells, columns: Sequence[Column]) -> None:
    for column in columns:
        if column.required and not line.values.get(column.name, "").strip():
            line.note(column.name, "the cell is empty", f"give {column.meaning}")


def _figure(text: str) -> Decimal:
    if len(text) > _LONGEST_FIGURE or not text.isascii():
        raise ValueError
    value = Decimal(text)
    if not value.is_finite() or "e" in text.lower():
        raise ValueError
    return value


def _whole(text: str) -> int:
    if len(text) > _LONGEST_FIGURE or not (text.isascii() and text.isdecimal()):
        raise ValueError
    return int(text)
