"""Rows of a table from elsewhere written again as that table has them, with columns of ours behind its own."""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import date
from decimal import Decimal, InvalidOperation
from itertools import islice
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.core.values.text import guarded_cell, unguarded_cell
from appreg.core.values.told_tables import Cell
from appreg.exchange.column_mapping import ColumnMapping
from appreg.exchange.list_workbook import BookSheet, fill_workbook
from appreg.exchange.mapped_rows import read_by
from appreg.exchange.source_file import Source, SourceForm
from appreg.exchange.source_rows import SourceRow

OUR_HEADS: Final = ("left out: line", "left out: why", "left out: remedy")
"""Above the columns that come behind those of a table whose rows were left out."""


class BesideRow(Struct, frozen=True):
    """A row of the table with what stands behind it."""

    row: SourceRow
    beside: tuple[str, ...]


class TableAgain(Struct, frozen=True, kw_only=True):
    """A table as a mapping reads it, to be written again with some of its rows."""

    source: Source
    mapping: ColumnMapping
    heads: tuple[str, ...]
    """Of the columns that come behind."""

    @property
    def read(self) -> Source:
        """The table as the mapping has it."""
        return read_by(self.source, self.mapping)

    @property
    def above(self) -> tuple[SourceRow, ...]:
        """The heads and what stands above them."""
        return tuple(islice(self.read.rows(), self.mapping.lines_before + self.mapping.head_lines))

    def as_text(self, rows: Iterable[BesideRow]) -> bytes:
        """In the dialect and the encoding of the table; of a workbook RFC 4180 in UTF-8."""
        read = self.read
        out = io.StringIO(newline="")
        writer = csv.writer(out, delimiter=read.delimiter or ",", quotechar=read.quote or '"', lineterminator="\r\n")
        writer.writerows([self._guarded(cell) for cell in row] for row, _ in self._every(rows))
        return out.getvalue().encode(read.encoding or "utf-8", "replace")

    def as_workbook(self, draft: Path, rows: Iterable[BesideRow]) -> int:
        """As a sheet, in which figures and days are what they were; the number of lines is returned."""
        every = ([_typed(cell, at in exact) for at, cell in enumerate(row)] for row, exact in self._every(rows))
        first = [str(cell or "") for cell in next(every)]
        sheet = BookSheet(name=self.read.sheet or "rows left out", heads=first, rows=every)
        return fill_workbook(draft, self.source.name, [sheet])

    def _every(self, rows: Iterable[BesideRow]) -> Iterator[tuple[Sequence[str], frozenset[int]]]:
        above = self.above
        width = max((len(row.cells) for row in (*above, *self.source.first)), default=0)
        for at, row in enumerate(above, 1):
            beside = self.heads if at == len(above) else ("",) * len(self.heads)
            yield _beside(row.cells, width, beside), row.exact
        for each in rows:
            yield _beside(each.row.cells, width, each.beside), each.row.exact

    def _guarded(self, cell: str) -> str:
        # A text may bear its guard already, and it must not get a second.
        return guarded_cell(unguarded_cell(cell) if self.source.form is SourceForm.CSV else cell)


def _beside(cells: Sequence[str], width: int, beside: tuple[str, ...]) -> tuple[str, ...]:
    return (*cells, *("",) * (width - len(cells)), *beside)


def _typed(cell: str, exact: bool) -> Cell:
    if exact:
        with suppress(ValueError):
            return date.fromisoformat(cell)
        with suppress(InvalidOperation):
            return Decimal(cell)
    return cell
