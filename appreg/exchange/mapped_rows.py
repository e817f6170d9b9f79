"""The lines of a table from elsewhere as a person would type them into our own fields."""

from collections.abc import Callable, Iterator, Sequence
from itertools import islice
from typing import Final

from appreg.core.values.text import LONGEST, unguarded_cell
from appreg.errors import InputRefused
from appreg.exchange.cell_refused import CellRefused, quoted
from appreg.exchange.cell_units import apart
from appreg.exchange.column_mapping import ColumnMapping, Layout, MappedColumn
from appreg.exchange.file_problems import FileProblem
from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind
from appreg.exchange.list_file import SAID
from appreg.exchange.long_rows import one_row_an_item
from appreg.exchange.mapped_cells import as_typed
from appreg.exchange.mapped_row import MappedRow
from appreg.exchange.source_file import Source, SourceForm
from appreg.exchange.source_rows import SourceRow

_CORRECT: Final = "correct the cell, or say in the mapping what it stands for"
_REMEMBERED: Final = 2000
"""Cells of a column."""
_BRACKETS: Final = " ()[]"
"""What may stand around a unit."""
_FEW: Final = 2
"""Cells of a line that has little more than a sum."""


class _Taken:
    """A column that is taken, where it stands now, and the field that it fills; cells that come again are remembered."""

    __slots__ = ("_mapping", "at", "column", "exactly", "field", "known", "name", "unit_at")

    def __init__(self, at: int, column: MappedColumn, field: ImportField, mapping: ColumnMapping) -> None:
        self.at = at
        self.column = column
        self.field = field
        self.name = field.name
        self.unit_at = at + 1 if column.units_beside else 0
        """Where the unit of a cell stands; 0: nowhere."""
        self._mapping = mapping
        self.known: dict[str, str | CellRefused] = {}
        """What cells came to, by their text."""
        self.exactly: dict[str, str | CellRefused] = {}
        """The same of those that the file holds exactly."""

    @property
    def head(self) -> str:
        """What problems call the column."""
        return self.column.head or self.field.name

    def with_unit(self, cell: str, unit: str) -> str | CellRefused:
        """The cell with the unit that stands beside it, where it is a figure alone; without one it may be in any."""
        stripped = cell.strip()
        figure, behind = apart(stripped.lstrip("<> "))
        if not figure or behind:
            return cell
        if not unit.strip() and not self.column.unit:
            return CellRefused(f"{quoted(stripped)} has no unit beside it", "fill it in")
        return f"{stripped} {unit.strip(_BRACKETS)}".strip()

    def typed(self, cell: str, *, exact: bool, guarded: bool) -> str | CellRefused:
        """The cell as typed, empty where it says nothing, or why it cannot be read; `guarded`: as a text for spreadsheets has it."""
        text = cell.strip()
        if not text:
            return ""
        found = self._read(unguarded_cell(text) if guarded else text, exact=exact)
        if len(cell) <= LONGEST:
            known = self.exactly if exact else self.known
            if len(known) >= _REMEMBERED:
                known.clear()
            known[cell] = found
        return found

    def _read(self, text: str, *, exact: bool) -> str | CellRefused:
        if exact and self.field.name == "reading":
            text = text.replace(".", self.column.decimal or self._mapping.decimal)
        try:
            return as_typed(text, self.field, self.column, self._mapping, exact=exact)
        except CellRefused as refused:
            return refused
        except InputRefused as refused:
            return CellRefused(str(refused).rstrip("."), _CORRECT)


def mapped_rows(
    source: Source, mapping: ColumnMapping, passed_over: Callable[[SourceRow], None] | None = None
) -> Iterator[MappedRow]:
    """Each line by field name; lines that tell one test each are gathered to one an item and day.

    `passed_over` is told every line that the mapping takes for none: sums, sentences beside our own lists, heads that stand again.
    Raises InputRefused where the mapping is not finished or the table is not the one it was made for.
    """
    if mapping.problems:
        raise InputRefused(mapping.problems[0].sentence)
    rows = lines_as_typed(source, mapping, passed_over)
    return one_row_an_item(rows, mapping, source.name) if mapping.layout is Layout.LONG else rows


def lines_as_typed(
    source: Source, mapping: ColumnMapping, passed_over: Callable[[SourceRow], None] | None = None
) -> Iterator[MappedRow]:
    """Each line by itself, to be looked at while a mapping is not finished; else as mapped_rows()."""
    return _each(read_by(source, mapping), mapping, passed_over)


def read_by(source: Source, mapping: ColumnMapping) -> Source:
    """The table as its mapping reads it."""
    return source.read_as(
        encoding=mapping.encoding, delimiter=mapping.delimiter, quote=mapping.quote, sheet=mapping.sheet
    )


def _each(
    source: Source, mapping: ColumnMapping, passed_over: Callable[[SourceRow], None] | None
) -> Iterator[MappedRow]:
    rows = source.rows()
    head_rows = list(islice(rows, mapping.lines_before + mapping.head_lines))[mapping.lines_before :]
    heads = heads_of([row.cells for row in head_rows])
    taken = _taken(source, mapping, heads)
    told = {tuple(row.cells) for row in head_rows}
    guarded = source.form is SourceForm.CSV
    needed = tuple(_needed(mapping))
    has_said = heads[-1:] == (SAID,)
    answered = {each.field.name for each in taken if each.field.form is FieldForm.VERDICT}
    # An answer that is empty in its own column was not given.
    constants = {name: text for name, text in mapping.constants.items() if name not in answered}
    for row in rows:
        if row.cells in told or is_total(row, mapping.skip, len(taken)) or (has_said and _is_said(row, heads)):
            if passed_over is not None:
                passed_over(row)
            continue
        values, refused = _read(row, taken, guarded=guarded)
        for field, constant in constants.items():
            if field not in refused:
                values.setdefault(field, constant)
        problems = [
            FileProblem(file=source.name, line=row.line, column=each.head, what=why.what, todo=why.todo)
            for each, why in refused.values()
        ]
        for names, head, what, todo in needed:
            if values.keys().isdisjoint(names) and refused.keys().isdisjoint(names):
                problems.append(FileProblem(file=source.name, line=row.line, column=head, what=what, todo=todo))
        yield MappedRow(line=row.line, values=values, problems=tuple(problems))


def heads_of(lines: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """The head above each column; one that stands above several (its cells are merged) counts for each of them."""
    width = max(map(len, lines), default=0)
    heads = [""] * width
    for at, line in enumerate(lines):
        last = at == len(lines) - 1
        above = ""
        for place in range(width):
            cell = " ".join(line[place].split()) if place < len(line) else ""
            above = cell or ("" if last else above)
            heads[place] = f"{heads[place]} {above}".strip()[:LONGEST]
    return tuple(heads)


def _taken(source: Source, mapping: ColumnMapping, heads: Sequence[str]) -> tuple[_Taken, ...]:
    """Where the columns stand in this table: by head, by position where a head is empty or stands twice."""
    fields = mapping.fields
    there = {head.casefold() for head in heads}
    taken = []
    for column in mapping.columns:
        if not column.field:
            continue
        if column.head and column.head.casefold() not in there:
            raise InputRefused(
                f"{source.name} has no column “{column.head}”, which the mapping takes for {column.field}; "
                "check that it is the right file, or map its columns anew."
            )
        if column.field not in fields:
            raise InputRefused(
                f"The mapping has a field “{column.field}”, which {mapping.kind} have not; correct the mapping."
            )
        taken.append(_Taken(place_of(column, heads), column, fields[column.field], mapping))
    return tuple(taken)


def place_of(column: MappedColumn, heads: Sequence[str]) -> int:
    """Where a column stands now, from 0: by its head, by its position where that is empty or stands twice."""
    places = [at for at, head in enumerate(heads) if head and head.casefold() == column.head.casefold()]
    return places[0] if len(places) == 1 else column.position - 1


def is_total(row: SourceRow, skip: Sequence[str], taken: int) -> bool:
    """Tell whether a line adds up those above: it begins so, and fills few cells for a table of so many columns taken."""
    first = row.cells[0].strip() if row.cells else ""
    first = (first or next((cell.strip() for cell in row.cells if cell and not cell.isspace()), "")).casefold()
    if not first.startswith(tuple(skip)):
        return False
    begins = any(first == word or first.startswith((f"{word} ", f"{word}:")) for word in skip)
    filled = sum(1 for cell in row.cells if cell.strip())
    return begins and (filled <= _FEW or 2 * filled <= taken)


def _is_said(row: SourceRow, heads: Sequence[str]) -> bool:
    """Tell whether a line is a sentence beside one of our own lists, which has a last column for them."""
    return len(row.cells) == len(heads) and not any(map(str.strip, row.cells[:-1]))


def _read(
    row: SourceRow, taken: Sequence[_Taken], *, guarded: bool
) -> tuple[dict[str, str], dict[str, tuple[_Taken, CellRefused]]]:
    """The values of a line by field, and by field what of it cannot be read."""
    values: dict[str, str] = {}
    refused: dict[str, tuple[_Taken, CellRefused]] = {}
    cells, exactly, width = row.cells, row.exact, len(row.cells)
    for each in taken:
        at = each.at
        if at >= width or not (cell := cells[at]):
            continue
        exact = at in exactly
        if each.unit_at and cell.strip():
            told = each.with_unit(cell, cells[each.unit_at] if each.unit_at < width else "")
            if isinstance(told, CellRefused):
                refused[each.name] = (each, told)
                continue
            cell = told
        value = (each.exactly if exact else each.known).get(cell)
        if value is None:
            value = each.typed(cell, exact=exact, guarded=guarded)
        if isinstance(value, CellRefused):
            refused[each.name] = (each, value)
        elif value:
            values[each.name] = value
    return values, refused


def _needed(mapping: ColumnMapping) -> Iterator[tuple[tuple[str, ...], str, str, str]]:
    """What no line can do without: the fields of which one must be filled, the column, and what to say where none is."""
    for field in mapping.fields.values():
        if field.required:
            column = mapping.column_of(field.name)
            head = column.head if column is not None and column.head else field.words
            yield (field.name,), head, f"the line has no {field.words}", "fill the cell, or take the line out"
    if mapping.kind is ImportKind.RESULTS:
        column = mapping.column_of("tag") or mapping.column_of("serial")
        head = column.head if column is not None and column.head else "tag"
        todo = "fill in its tag, or its serial number and make"
        yield ("tag", "serial"), head, "the line says of no item whose it is", todo
