"""A list as a file that other programs read: CSV, JSON or a workbook."""

import csv
import io
import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.values.text import guarded_cell, shown
from appreg.core.values.told_tables import Cell, ToldTable, file_columns, file_rows

FileCell = str | int | None
"""Text, a count, or nothing; days are text, ISO 8601."""
CSV: Final = ".csv"
JSON: Final = ".json"
SAID: Final = "said"
"""The column of sentences."""


class ListHead(Struct, frozen=True, kw_only=True):
    """What a list is and how it was asked for."""

    title: str
    filter: str
    """What was typed to find its rows; empty: all of them."""
    sorted_by: str
    """A column; empty: the list's own order."""
    descending: bool
    columns: tuple[str, ...]
    days: frozenset[str] = frozenset()
    """Those columns that hold days."""


def csv_file(head: ListHead, rows: Iterable[Sequence[FileCell]]) -> bytes:
    """RFC 4180 in UTF-8, its text cells guarded against spreadsheets that would run them."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head.columns)
    writer.writerows([_guarded(cell) for cell in row] for row in rows)
    return out.getvalue().encode("utf-8", "replace")


def table_csv(table: ToldTable, beside: Sequence[str] = ()) -> bytes:
    """A told table in the same form: days as ISO 8601, numbers as they are, no sums.

    Sentences `beside` it stand below, each in a row with nothing else, in a last column of their own.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(told_heads(table, beside))
    writer.writerows([_guarded(cell) for cell in row] for row in told_rows(table, beside))
    return out.getvalue().encode("utf-8", "replace")


def told_heads(table: ToldTable, beside: Sequence[str] = ()) -> list[str]:
    """The heads of the file of a told table."""
    return [*(column.name for column in file_columns(table)), *([SAID] if beside else [])]


def told_rows(table: ToldTable, beside: Sequence[str] = ()) -> Iterator[list[FileCell]]:
    """Its rows and sentences, not guarded yet."""
    more: list[FileCell] = [""] if beside else []
    for row in file_rows(table):
        yield [*(_filed(cell) for cell in row), *more]
    for sentence in beside:
        yield [*("" for _ in file_columns(table)), sentence]


def json_file(head: ListHead, rows: Iterable[Sequence[FileCell]]) -> bytes:
    """One object, its rows by the names of the columns."""
    answer = {
        "format": "appreg.list",
        "version": 1,
        "list": head.title,
        "filter": head.filter,
        "sorted_by": head.sorted_by,
        "descending": head.descending,
        "columns": list(head.columns),
        "rows": [dict(zip(head.columns, row, strict=True)) for row in rows],
    }
    return (json.dumps(answer, ensure_ascii=False, indent=2) + "\n").encode("utf-8", "replace")


def _guarded(cell: FileCell) -> str | int:
    if cell is None:
        return ""
    return guarded_cell(shown(cell)) if isinstance(cell, str) else cell


def _filed(cell: Cell) -> FileCell:
    if isinstance(cell, date):
        return cell.isoformat()
    return cell if isinstance(cell, str | int | None) else format(cell, "f")
