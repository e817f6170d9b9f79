"""A table from elsewhere as it was found: its form, its encoding, its dialect, its sheets, and its rows one by one."""

from collections.abc import Iterator
from enum import StrEnum
from itertools import islice
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.exchange.source_rows import MOST_BYTES, SourceRow
from appreg.exchange.source_text import Dialect, find_dialect, find_encoding, text_rows
from appreg.exchange.source_workbook import OpenedBook, find_sheets, is_workbook, refuse_other_books
from appreg.given_files import GivenFileRefused, read_bytes
from appreg.progress import Progress, shared

_FIRST: Final = 20
"""Rows that are shown of a source."""
_LOOKED_THROUGH: Final = 50
"""Hundredths of the work that are done once it is known that a workbook is within bounds."""


class SourceForm(StrEnum):
    """The two forms of tables that are read."""

    CSV = "csv"
    XLSX = "xlsx"


class Source(Struct, frozen=True, kw_only=True):
    """A table from elsewhere, whole in memory as its bytes, and how it is read."""

    path: Path
    form: SourceForm
    encoding: str = ""
    """Of a text; empty for a workbook."""
    delimiter: str = ""
    quote: str = ""
    sheets: tuple[str, ...] = ()
    """The sheets of a workbook."""
    sheet: str = ""
    """The one that is read."""
    remarks: tuple[str, ...] = ()
    """What a person should know of it, a sentence each."""
    first: tuple[SourceRow, ...] = ()
    """Its first rows, as they are read."""
    content: bytes
    book: OpenedBook | None = None
    """The workbook as it was opened."""

    @property
    def name(self) -> str:
        """The name of the file, as problems tell it."""
        return self.path.name

    @property
    def lines(self) -> int:
        """About how many there are to read."""
        return self.content.count(b"\n") if self.book is None else self.book.lines

    def rows(self) -> Iterator[SourceRow]:
        """Every row that is not empty, one by one; raises GivenFileRefused where one goes beyond all bounds."""
        if self.book is not None:
            return self.book.rows(self.sheet)
        dialect = Dialect(delimiter=self.delimiter, quote=self.quote)
        return text_rows(self.path, self.content, self.encoding, dialect)

    def read_as(self, *, encoding: str = "", delimiter: str = "", quote: str = "", sheet: str = "") -> "Source":
        """The same file read in another way than was found; what is empty stays as it is.

        Raises GivenFileRefused where there is no such sheet, or the text cannot be read so.
        """
        text = self.form is SourceForm.CSV
        wanted = {"encoding": encoding, "delimiter": delimiter, "quote": quote} if text else {"sheet": sheet}
        told = {name: value for name, value in wanted.items() if value and value != getattr(self, name)}
        if sheet and not text and sheet not in self.sheets:
            raise GivenFileRefused(self.path, f"has no sheet “{sheet}”", f"name one of {', '.join(self.sheets)}")
        return _with_first(replace(self, **told)) if told else self


def read_source(path: Path, *, progress: Progress | None = None) -> Source:
    """Find out how a table is written; raises GivenFileRefused for what is none, or is beyond all bounds, and Stopped."""
    content = read_bytes(path, what="a table", most_bytes=MOST_BYTES)
    if not content.strip():
        raise GivenFileRefused(path, "is empty", "check that it is the right file")
    refuse_other_books(path, content)
    if is_workbook(content):
        found = find_sheets(path, content, shared(progress, 0, _LOOKED_THROUGH) if progress else None)
        book = OpenedBook(path, content)
        book.lay_out(found.names[0], shared(progress, _LOOKED_THROUGH, 100) if progress else None)
        source = Source(
            path=path,
            form=SourceForm.XLSX,
            sheets=found.names,
            sheet=found.names[0],
            remarks=found.remarks,
            content=content,
            book=book,
        )
        return _with_first(source)
    encoding = find_encoding(path, content)
    dialect = find_dialect(content, encoding.name)
    source = Source(
        path=path,
        form=SourceForm.CSV,
        encoding=encoding.name,
        delimiter=dialect.delimiter,
        quote=dialect.quote,
        remarks=encoding.remarks,
        content=content,
    )
    return _with_first(source)


def _with_first(source: Source) -> Source:
    first = tuple(islice(source.rows(), _FIRST))
    if not first:
        raise GivenFileRefused(source.path, "holds no row", "check that it is the right file and the right sheet")
    return replace(source, first=first)
