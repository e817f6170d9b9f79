"""Tables that are workbooks (Office Open XML, ISO/IEC 29500): looked at inside before they are read, then read by calamine."""

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.exchange.source_rows import SourceRow, refuse_row
from appreg.given_files import GivenFileRefused, size_words

_MOST_UNPACKED: Final = 160_000_000
"""Bytes of all that a workbook holds."""
_MOST_PARTS: Final = 2000
_MOST_CELLS: Final = 2_500_000
"""Of the rectangle that holds all cells of a sheet: the reader lays it out whole, in some 100 bytes a cell."""
_MOST_TEXTS: Final = 1_500_000
_MOST_OF_TEXTS: Final = 150_000_000
"""Bytes of texts, were every cell to show the longest."""
_PIECE: Final = 1_000_000
_OVERLAP: Final = 200
_ZIP: Final = b"PK\x03\x04"
_OLE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_BOOK: Final = "xl/workbook.xml"
_CELL: Final = re.compile(rb"\sr\s*=\s*[\"']([A-Za-z]{0,8})([0-9]{0,12})")
_BARE_CELL: Final = re.compile(rb"<(?:[\w.-]+:)?c[\s/>]")
_SHARED: Final = re.compile(rb"<(?:[\w.-]+:)?si[\s/>]")
_TEXT: Final = re.compile(rb"[^<]{1000,}")
_FORMULA: Final = re.compile(rb"<(?:[\w.-]+:)?f[\s/>]")
_SIGNIFICANT: Final = 15
"""Digits of a figure that spreadsheets show; what stands behind them is the dust of binary sums."""
_SAVE_AS: Final = "save it as .xlsx or CSV"
_AS_CSV: Final = "save the sheet as CSV"


class Sheets(Struct, frozen=True, kw_only=True):
    """What a workbook holds."""

    names: tuple[str, ...]
    remarks: tuple[str, ...]


class _Part(Struct, kw_only=True):
    """What one part of a workbook comes to, counted from its bytes whatever it calls itself."""

    rows: int = 0
    columns: int = 0
    cells: int = 0
    texts: int = 0
    longest: int = 0
    formulas: bool = False

    def take(self, piece: bytes) -> None:
        """Count a piece; what stands across two pieces may count twice."""
        for letters in set(re.findall(rb"\sr\s*=\s*[\"']([A-Za-z]{1,8})[0-9]", piece)):
            self.columns = max(self.columns, _column_number(letters))
        for figures in set(re.findall(rb"\sr\s*=\s*[\"'][A-Za-z]{0,8}([0-9]{1,12})", piece)):
            self.rows = max(self.rows, int(figures))
        self.cells += len(_BARE_CELL.findall(piece))
        self.texts += len(_SHARED.findall(piece))
        self.longest = max((self.longest, *map(len, _TEXT.findall(piece))))
        self.formulas = self.formulas or _FORMULA.search(piece) is not None


def is_workbook(content: bytes) -> bool:
    """Tell whether a file is a packed folder, as workbooks are."""
    return content.startswith(_ZIP)


def refuse_other_books(path: Path, content: bytes) -> None:
    """Raise GivenFileRefused for workbooks of other forms, and those under a password."""
    if content.startswith(_OLE):
        raise GivenFileRefused(path, "is a workbook of an older form, or under a password", _SAVE_AS)
    if content.startswith(b"%PDF-"):
        raise GivenFileRefused(path, "is a document, no table", "ask for the table as CSV or .xlsx")


def find_sheets(path: Path, content: bytes) -> Sheets:
    """The sheets of a workbook that is within bounds; raises GivenFileRefused for any other."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            parts = packed.infolist()
            _refuse_parts(path, parts)
            counted = [_counted(packed, part) for part in parts]
    except (
        zipfile.BadZipFile,
        zlib.error,
        NotImplementedError,
        RuntimeError,
        EOFError,
        ValueError,
        OSError,
    ) as problem:
        raise _damaged(path) from problem
    _refuse_counts(path, counted)
    remarks = []
    if any(each.formulas for each in counted):
        remarks.append("It has formulas: what counts is what they came to when it was last saved.")
    if any("externallinks/" in part.filename.lower() for part in parts):
        remarks.append("It refers to other workbooks, which are not read: what counts is what it came to.")
    return Sheets(names=_names(path, content), remarks=tuple(remarks))


def _refuse_parts(path: Path, parts: list[zipfile.ZipInfo]) -> None:
    if not any(part.filename == _BOOK for part in parts):
        raise GivenFileRefused(path, "is a packed file, but no workbook of the form .xlsx", _SAVE_AS)
    if len(parts) > _MOST_PARTS or sum(part.file_size for part in parts) > _MOST_UNPACKED:
        raise GivenFileRefused(path, f"unpacks to more than {size_words(_MOST_UNPACKED)}", _AS_CSV)


def _counted(packed: zipfile.ZipFile, part: zipfile.ZipInfo) -> _Part:
    """Unpack a part piece by piece: what its size and its sum say must be true."""
    counted = _Part()
    with packed.open(part) as handle:
        before = b""
        while piece := handle.read(_PIECE):
            counted.take(before + piece)
            before = piece[-_OVERLAP:]
    return counted


def _refuse_counts(path: Path, counted: list[_Part]) -> None:
    for part in counted:
        columns = max(part.columns, 1) if part.columns else part.cells
        if part.cells and (max(part.rows, 1) * columns > _MOST_CELLS or part.cells > _MOST_CELLS):
            raise GivenFileRefused(path, f"has a sheet that spans more than {_MOST_CELLS} cells", _AS_CSV)
    longest = max(part.longest for part in counted)
    if sum(part.texts for part in counted) > _MOST_TEXTS:
        raise GivenFileRefused(path, f"has more than {_MOST_TEXTS} texts", _AS_CSV)
    if longest * max(part.cells for part in counted) > _MOST_OF_TEXTS:
        raise GivenFileRefused(path, "has texts too long for so many cells", _AS_CSV)


def _column_number(letters: bytes) -> int:
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number


def _names(path: Path, content: bytes) -> tuple[str, ...]:
    """The names of sheets with cells, those in sight first."""
    from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum  # noqa: PLC0415

    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheets = [each for each in book.sheets_metadata if each.typ == SheetTypeEnum.WorkSheet]
    except (CalamineError, OSError, ValueError) as problem:
        raise _damaged(path) from problem
    if not sheets:
        raise GivenFileRefused(path, "has no sheet of cells", "check that it is the right file")
    return tuple(each.name for each in sorted(sheets, key=lambda each: each.visible != SheetVisibleEnum.Visible))


def sheet_rows(path: Path, content: bytes, sheet: str) -> Iterator[SourceRow]:
    """Every row of a sheet that is not empty; raises GivenFileRefused where it cannot be read."""
    from python_calamine import CalamineError, CalamineWorkbook  # noqa: PLC0415

    try:
        found = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_name(sheet)
        start = found.start
        rows = found.iter_rows()
    except (CalamineError, OSError, ValueError) as problem:
        raise _damaged(path) from problem
    if start is None:
        return
    before = ("",) * start[1]
    for line, row in enumerate(rows, start[0] + 1):
        cells = [*before, *map(_text_of, row)]
        while cells and not cells[-1].strip():
            cells.pop()
        if cells:
            refuse_row(path, line, cells)
            exact = frozenset(at for at, cell in enumerate(row, start[1]) if not isinstance(cell, str))
            yield SourceRow(line=line, cells=tuple(cells), exact=exact)


def _text_of(cell: object) -> str:
    """A cell as text: figures with a decimal point, days as in ISO 8601."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return _figure(cell)
    if isinstance(cell, datetime):
        whole = cell.time() == time.min
        return cell.date().isoformat() if whole else cell.isoformat(sep=" ", timespec="seconds")
    if isinstance(cell, date | time):
        return cell.isoformat()
    return str(cell) if isinstance(cell, timedelta) else ""


def _figure(cell: float) -> str:
    if isinstance(cell, int) or (cell.is_integer() and abs(cell) < 10**_SIGNIFICANT):
        return str(int(cell))
    text = f"{cell:.{_SIGNIFICANT}g}"
    return f"{cell:.20f}".rstrip("0") if "e-" in text else text


def _damaged(path: Path) -> GivenFileRefused:
    return GivenFileRefused(path, "is damaged, or no workbook of the form .xlsx", "save it anew, as .xlsx or CSV")
