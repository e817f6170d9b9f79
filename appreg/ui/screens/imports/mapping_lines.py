"""The columns of a table as a list: what each becomes, how it is read, and why."""

from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Final

from msgspec import Struct
from msgspec.structs import replace
from textual.content import Content

from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.errors import AppregError
from appreg.exchange.column_mapping import ColumnMapping, MappedColumn
from appreg.exchange.columns_beside import leakage_constants
from appreg.exchange.import_fields import ImportField
from appreg.exchange.mapped_row import MappedRow
from appreg.exchange.mapped_rows import lines_as_typed
from appreg.exchange.mapping_told import first_lines
from appreg.exchange.source_file import Source, SourceForm
from appreg.exchange.source_rows import SourceRow
from appreg.ui.lists.table_columns import FieldColumn, Tone
from appreg.ui.screens.imports.mapping_forms import DELIMITER_WORDS, ORDER_WORDS, title_of

NOT_TAKEN: Final = "not taken"
_OPEN: Final = "? "
_LONGEST: Final = 60
"""Characters of a cell that are shown."""
_WIDE: Final = 90
"""Columns from which the values of a row stand side by side."""
_FIRST: Final = 20
"""Lines that are read to be shown."""


class MappedLine(Struct, frozen=True, kw_only=True):
    """A column of the table, or a field that is the same on every line."""

    key: str
    called: str
    becomes: str
    read_as: str
    why: str
    column: MappedColumn | None = None
    field: str = ""
    """Of what is on every line."""


def _tone(text: str) -> Tone:
    return Tone.WARN if text.startswith(_OPEN) else Tone.QUIET if text == NOT_TAKEN else Tone.PLAIN


MAPPING_COLUMNS: Final[tuple[FieldColumn[MappedLine], ...]] = (
    FieldColumn(key="column", title="column", min_width=15, max_width=30, text=lambda line: line.called),
    FieldColumn(key="becomes", title="becomes", min_width=14, max_width=26, tone=_tone, text=lambda line: line.becomes),
    FieldColumn(key="read", title="read as", min_width=8, max_width=22, text=lambda line: line.read_as, priority=1),
    FieldColumn(key="why", title="why", min_width=24, max_width=60, text=lambda line: line.why, priority=2),
)


def mapping_lines(mapping: ColumnMapping) -> Iterator[MappedLine]:
    """Each column in its order, then what is on every line."""
    asked = {each.position for each in mapping.problems if each.position}
    for column in mapping.columns:
        field = mapping.fields.get(column.field)
        becomes = field_words(field) if field else NOT_TAKEN
        yield MappedLine(
            key=str(column.position),
            called=title_of(column),
            becomes=(_OPEN if column.position in asked else "") + becomes,
            read_as=_read_as(column),
            why=column.reason or "you said so",
            column=column,
        )
    by_heads = leakage_constants(mapping.columns)
    for name, value in mapping.constants.items():
        why = "the head of the leakage says so" if by_heads.get(name) == value else "you said so"
        words = field_words(mapping.fields[name]) if name in mapping.fields else name
        yield MappedLine(
            key=f"every {name}", called=f"every line: {value}", becomes=words, read_as="", why=why, field=name
        )


def field_words(field: ImportField) -> str:
    """What people call a field, with its unit."""
    return f"{field.words}, {field.unit}" if field.unit else field.words


def found_words(source: Source, read: Source) -> str:
    """What was found of a file: its form, encoding and delimiter, or its sheet."""
    if source.form is SourceForm.XLSX:
        more = f" of {len(source.sheets)}" if len(source.sheets) > 1 else ""
        return f"workbook (XLSX), sheet “{read.sheet}”{more}"
    delimiter = DELIMITER_WORDS.get(read.delimiter, f"“{read.delimiter}”")
    return f"text (CSV), {read.encoding}, {delimiter} between cells"


def column_preview(source: Source, mapping: ColumnMapping, line: MappedLine, *, room: int, width: int) -> Content:
    """The cells of a column as they stand and as they come in, then the first rows whole; one below the other where it is narrow."""
    try:
        rows = first_lines(source, mapping, _FIRST)
        typed = {each.line: each for each in islice(lines_as_typed(source, _finished(mapping)), _FIRST)}
    except AppregError as refusal:
        return Content.styled(shown(str(refusal)), "$doubt")
    half = max(2, (room - 3) // 2)
    told = [*_cells(rows, typed, mapping, line)][:half] if line.column is not None else []
    heading = f"{line.called} → {line.becomes}"
    parts = [Content.styled(shown(heading), "bold"), *told]
    parts += [Content(""), Content.styled("the first rows as they come in", "bold")]
    every = [each for row in typed.values() for each in _whole(row, mapping, wide=width >= _WIDE)]
    return Content("\n").join([*parts, *every[: max(1, room - len(parts))]])


def _cells(
    rows: Sequence[SourceRow], typed: dict[int, MappedRow], mapping: ColumnMapping, line: MappedLine
) -> Iterator[Content]:
    column = line.column
    if column is None:
        return
    head = column.head or (mapping.fields[column.field].name if column.field in mapping.fields else "")
    for row in rows:
        stands = row.cells[column.position - 1].strip() if column.position <= len(row.cells) else ""
        before = Content.assemble((f"{row.line:>4}  ", "$quiet"), _short(stands) or "empty")
        mapped = typed.get(row.line)
        if not column.field or mapped is None:
            yield before
            continue
        wrong = next((each for each in mapped.problems if each.column == head), None)
        value = _short(mapped.values.get(column.field, "")) or "nothing"
        after = (f" → {shown(wrong.what)}", "$doubt") if wrong else (f" → {value}", "")
        yield Content.assemble(before, after)


def _whole(row: MappedRow, mapping: ColumnMapping, *, wide: bool) -> Iterator[Content]:
    values = [f"{mapping.fields[name].words} {_short(value)}" for name, value in row.values.items()] or ["nothing"]
    wrong = f"{counted(len(row.problems), 'cell')} not read" if row.problems else ""
    line = (f"{row.line:>4}  ", "$quiet")
    if wide:
        yield Content.assemble(line, " · ".join(values), (f"  {wrong}" if wrong else "", "$doubt"))
        return
    yield Content.assemble(line, values[0], (f"  {wrong}" if wrong else "", "$doubt"))
    yield from (Content.assemble(" " * 6, value) for value in values[1:])


def _finished(mapping: ColumnMapping) -> ColumnMapping:
    """As it reads now, though something is still to be said."""
    return replace(mapping, problems=())


def _short(text: str) -> str:
    return shown(text[:_LONGEST]) + ("…" if len(text) > _LONGEST else "")


def _read_as(column: MappedColumn) -> str:
    parts = [
        "unit beside it" if column.units_beside else "",
        column.unit,
        ORDER_WORDS[column.date_order] if column.date_order else "",
    ]
    parts.append({",": "decimal comma", ".": "decimal point"}.get(column.decimal, ""))
    parts.append(counted(len(column.values), "word") if column.values else "")
    return " · ".join(part for part in parts if part)
