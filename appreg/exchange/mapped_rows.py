"""The lines of a table from elsewhere as a person would type them into our own fields."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import islice
from typing import Final

from msgspec import Struct

from appreg.core.values.text import LONGEST, unguarded_cell
from appreg.errors import InputRefused
from appreg.exchange.cell_refused import CellRefused
from appreg.exchange.column_mapping import ColumnMapping, Layout, MappedColumn
from appreg.exchange.file_problems import FileProblem
from appreg.exchange.import_fields import ImportField, ImportKind
from appreg.exchange.long_rows import one_row_an_item
from appreg.exchange.mapped_cells import as_typed
from appreg.exchange.mapped_row import MappedRow
from appreg.exchange.source_file import Source, SourceForm
from appreg.exchange.source_rows import SourceRow

__all__ = ["MappedRow", "heads_of", "mapped_rows"]

_CORRECT: Final = "correct the cell, or say in the mapping what it stands for"
_FEW: Final = 2
"""Cells of a line that has little more than a sum."""


class _Taken(Struct, frozen=True, kw_only=True):
    """A column that is taken, where it stands now, and the field that it fills."""

    at: int
    column: MappedColumn
    field: ImportField


def mapped_rows(
    source: Source, mapping: ColumnMapping, passed_over: Callable[[SourceRow], None] | None = None
) -> Iterator[MappedRow]:
    """Each line by field name; lines that tell one test each are gathered to one an item and day.

    `passed_over` is told every line that the mapping takes for none: sums, and heads that stand again.
    Raises InputRefused where the mapping is not finished or the table is not the one it was made for.
    """
    if mapping.problems:
        raise InputRefused(mapping.problems[0].sentence)
    read = source.read_as(
        encoding=mapping.encoding, delimiter=mapping.delimiter, quote=mapping.quote, sheet=mapping.sheet
    )
    rows = _each(read, mapping, passed_over)
    return one_row_an_item(rows, mapping, read.name) if mapping.layout is Layout.LONG else rows


def _each(
    source: Source, mapping: ColumnMapping, passed_over: Callable[[SourceRow], None] | None
) -> Iterator[MappedRow]:
    rows = source.rows()
    head_rows = list(islice(rows, mapping.lines_before + mapping.head_lines))[mapping.lines_before :]
    heads = heads_of([row.cells for row in head_rows])
    taken = _taken(source, mapping, heads)
    told = {tuple(row.cells) for row in head_rows}
    text = source.form is SourceForm.CSV
    for row in rows:
        if row.cells in told or is_total(row, mapping.skip, len(taken)):
            if passed_over is not None:
                passed_over(row)
            continue
        yield _mapped(source.name, row, mapping, taken, guarded=text)


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
    taken = []
    for column in mapping.columns:
        if not column.field:
            continue
        places = [at for at, head in enumerate(heads) if head and head.casefold() == column.head.casefold()]
        at = places[0] if len(places) == 1 else column.position - 1
        if column.head and not places:
            raise InputRefused(
                f"{source.name} has no column “{column.head}”, which the mapping takes for {column.field}; "
                "check that it is the right file, or map its columns anew."
            )
        if column.field not in fields:
            raise InputRefused(
                f"The mapping has a field “{column.field}”, which {mapping.kind} have not; correct the mapping."
            )
        taken.append(_Taken(at=at, column=column, field=fields[column.field]))
    return tuple(taken)


def is_total(row: SourceRow, skip: Sequence[str], taken: int) -> bool:
    """Tell whether a line adds up those above: it begins so, and fills few cells for a table of so many columns taken."""
    first = next((cell.strip().casefold() for cell in row.cells if cell.strip()), "")
    begins = any(first == word or first.startswith((f"{word} ", f"{word}:")) for word in skip)
    filled = sum(1 for cell in row.cells if cell.strip())
    return begins and (filled <= _FEW or 2 * filled <= taken)


def _cell(row: SourceRow, at: int) -> str:
    return row.cells[at].strip() if at < len(row.cells) else ""


def _mapped(name: str, row: SourceRow, mapping: ColumnMapping, taken: Sequence[_Taken], *, guarded: bool) -> MappedRow:
    values: dict[str, str] = {}
    problems: list[FileProblem] = []
    for each in taken:
        cell = _cell(row, each.at)
        if not cell:
            continue
        exact = each.at in row.exact
        text = unguarded_cell(cell) if guarded and not exact else cell
        if exact and each.field.name == "reading":
            text = text.replace(".", each.column.decimal or mapping.decimal)
        try:
            value = as_typed(text, each.field, each.column, mapping, exact=exact)
        except CellRefused as refused:
            problems.append(_problem(name, row.line, each.column.head or each.field.name, refused.what, refused.todo))
        except InputRefused as refused:
            problems.append(_problem(name, row.line, each.column.head or each.field.name, _what(refused), _CORRECT))
        else:
            if value:
                values[each.field.name] = value
    for field, constant in mapping.constants.items():
        values.setdefault(field, constant)
    told = {problem.column for problem in problems}
    problems += [each for each in _lacking(name, row.line, mapping, values) if each.column not in told]
    return MappedRow(line=row.line, values=values, problems=tuple(problems))


def _lacking(name: str, line: int, mapping: ColumnMapping, values: Mapping[str, str]) -> Iterator[FileProblem]:
    for field in mapping.fields.values():
        if field.required and field.name not in values:
            column = mapping.column_of(field.name)
            head = column.head if column is not None else field.words
            yield _problem(name, line, head, f"the line has no {field.words}", "fill the cell, or take the line out")
    if mapping.kind is ImportKind.RESULTS and "tag" not in values and "serial" not in values:
        column = mapping.column_of("tag") or mapping.column_of("serial")
        head = column.head if column is not None else "tag"
        yield _problem(
            name, line, head, "the line says of no item whose it is", "fill in its tag, or its serial number and make"
        )


def _what(refused: InputRefused) -> str:
    return str(refused).rstrip(".")


def _problem(name: str, line: int, column: str, what: str, todo: str) -> FileProblem:
    return FileProblem(file=name, line=line, column=column, what=what, todo=todo)
