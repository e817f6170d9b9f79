"""A list as a workbook for spreadsheets (Office Open XML, ISO/IEC 29500): its cells are what they are, and none is run."""

from collections.abc import Iterable, Sequence
from contextlib import ExitStack
from datetime import date
from itertools import chain, islice
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.values.text import shown
from appreg.core.values.told_tables import Cell, ToldTable, file_columns, file_rows
from appreg.errors import InputRefused
from appreg.exchange.list_file import SAID

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

XLSX: Final = ".xlsx"
_ABOUT: Final = "About this list"
MOST_ROWS: Final = 1_048_575
"""What one sheet holds below its heads (Excel specifications and limits, published)."""
FIRST_DAY: Final = date(1900, 3, 1)
"""Before it spreadsheets count days in different ways; days stand there as text."""
_LONGEST_NAME: Final = 31
"""Characters of a sheet's name, published there too."""
_NOT_IN_NAMES: Final = str.maketrans(dict.fromkeys("[]:*?/\\'", " "))
_MEASURED: Final = 200
"""Rows that the widths of columns are taken from."""
_NARROWEST, _WIDEST = 8, 48
"""Characters."""
_AS_IT_IS: Final = {
    "constant_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}


class BookSheet(Struct, frozen=True, kw_only=True):
    """One sheet of a workbook."""

    name: str
    heads: Sequence[str]
    rows: Iterable[Sequence[Cell]]


def fill_workbook(draft: Path, title: str, sheets: Sequence[BookSheet]) -> int:
    """Write rows under heads that stay in sight and can be filtered, and return how many; memory stays the same.

    Raises InputRefused where a sheet does not hold them all.
    """
    from xlsxwriter import Workbook  # noqa: PLC0415 - loaded only where a workbook is written

    with TemporaryDirectory(prefix="appreg-") as folder:
        book = Workbook(str(draft), {**_AS_IT_IS, "tmpdir": folder})
        book.set_properties({"title": shown(title)})
        days, strong = book.add_format({"num_format": "yyyy-mm-dd"}), book.add_format({"bold": True})
        names = _sheet_names([sheet.name for sheet in sheets])
        # What is not packed yet stands in files that only the library's own end would close.
        with ExitStack() as ends:
            count = 0
            for name, sheet in zip(names, sheets, strict=True):
                page = book.add_worksheet(name)
                ends.callback(page.row_data_fh.close)
                count += _fill_sheet(page, sheet, days, strong)
            ends.pop_all()
        book.close()
    return count


def table_sheet(table: ToldTable) -> BookSheet:
    """A told table as a sheet: no sums, for its reader makes them."""
    return BookSheet(name=table.title, heads=[column.name for column in file_columns(table)], rows=file_rows(table))


def said_sheet(sentences: Iterable[str]) -> BookSheet:
    """What is said beside the tables of a workbook, on a sheet of its own."""
    return BookSheet(name=_ABOUT, heads=(SAID,), rows=((sentence,) for sentence in sentences))


def typed_day(text: str | int | None) -> str | int | date | None:
    """A day of a column of days in ISO 8601 as a day; what is none, as it stands."""
    if not isinstance(text, str):
        return text
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def _fill_sheet(page: "Worksheet", sheet: BookSheet, days: "Format", strong: "Format") -> int:
    rows = iter(sheet.rows)
    first = list(islice(rows, _MEASURED))
    for place, head in enumerate(sheet.heads):
        page.set_column(place, place, _width([head, *(str(row[place]) for row in first)]))
        page.write_string(0, place, shown(head), strong)
    page.freeze_panes(1, 0)
    count = _fill(page, chain(first, rows), days)
    if sheet.heads:
        page.autofilter(0, 0, count, len(sheet.heads) - 1)
    return count


def _fill(page: "Worksheet", rows: Iterable[Sequence[Cell]], days: "Format") -> int:
    number = 0
    for number, row in enumerate(rows, 1):
        if number > MOST_ROWS:
            raise InputRefused(f"A sheet holds {MOST_ROWS} rows and there are more; write them as CSV instead.")
        for place, cell in enumerate(row):
            if isinstance(cell, str):
                if cell:
                    # Nearly every text is harmless, and told so here: asking elsewhere would take a tenth of the time.
                    page.write_string(number, place, cell if cell.isascii() and cell.isprintable() else shown(cell))
            elif isinstance(cell, date):
                if cell < FIRST_DAY:
                    page.write_string(number, place, cell.isoformat())
                else:
                    page.write_datetime(number, place, cell, days)
            elif cell is not None:
                page.write_number(number, place, cell)
    return number


def _width(texts: Sequence[str]) -> int:
    return min(max(_NARROWEST, *map(len, texts)) + 2, _WIDEST)


def _sheet_names(titles: Sequence[str]) -> list[str]:
    """Names that a workbook takes, each another."""
    names: list[str] = []
    for title in titles:
        name = shown(title).translate(_NOT_IN_NAMES).strip()[:_LONGEST_NAME].strip() or "list"
        taken = {each.casefold() for each in names}
        if name.casefold() in taken or name.casefold() == "history":
            name = f"{name[: _LONGEST_NAME - 4].strip()} {len(names) + 1}"
        names.append(name)
    return names
