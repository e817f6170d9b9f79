"""Tables that are workbooks (Office Open XML, ISO/IEC 29500): looked at inside before they are read, then read by calamine."""

import io
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from datetime import date, datetime, time, timedelta
from functools import partial
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.exchange.source_rows import SourceRow, refuse_row
from appreg.exchange.stoppable_reading import done_beside
from appreg.given_files import GivenFileRefused, size_words
from appreg.progress import Progress, tell

if TYPE_CHECKING:
    from python_calamine import CalamineSheet

_MOST_UNPACKED: Final = 160_000_000
"""Bytes of all that a workbook holds."""
_MOST_PARTS: Final = 2000
_MOST_CELLS: Final = 2_000_000
"""Of the rectangle that holds all cells of a sheet: the reader lays it out whole, in some 100 bytes a cell."""
_MOST_TEXTS: Final = 1_000_000
_MOST_OF_TEXTS: Final = 120_000_000
"""Bytes of the texts of all cells of a sheet, each counted wherever it is shown."""
_LONGEST_TEXT: Final = 400_000
"""Bytes of one text that cells share, with all its marks."""
_PIECE: Final = 1_000_000
_OVERLAP: Final = 200
_ZIP: Final = b"PK\x03\x04"
_OLE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_BOOK: Final = "xl/workbook.xml"
_PLAIN_LETTERS: Final = re.compile(rb' r="([A-Za-z]{1,8})')
_PLAIN_FIGURES: Final = re.compile(rb' r="[A-Za-z]{0,8}([0-9]{1,12})')
_UNUSUAL: Final = (b" r =", b" r= ", b" r='", b"\tr", b"\nr", b"\rr", b'r="&')
"""What shows that places are written as no spreadsheet writes them; then the slower patterns look for them."""
_LETTERS: Final = re.compile(rb"\sr\s*=\s*[\"']([A-Za-z]{1,8})[0-9&]")
_FIGURES: Final = re.compile(rb"\sr\s*=\s*[\"'][A-Za-z]{0,8}([0-9]{1,12})")
_TEXT_BEGINS: Final = re.compile(rb"<(?:[\w.-]+:)?si[\s/>]")
_VALUE: Final = re.compile(rb"<(?:[\w.-]+:)?v(?:\s[^>]*)?>\s*([0-9]{1,9})\s*<")
_SIGNIFICANT: Final = 15
"""Digits of a figure that spreadsheets show; what stands behind them is the dust of binary sums."""
STOPPED: Final = "Stopped before the whole table was read; nothing was changed."
_SAVE_AS: Final = "save it as .xlsx or CSV"
_AS_CSV: Final = "save the sheet as CSV"


class Sheets(Struct, frozen=True, kw_only=True):
    """What a workbook holds."""

    names: tuple[str, ...]
    remarks: tuple[str, ...]


def is_workbook(content: bytes) -> bool:
    """Tell whether a file is a packed folder, as workbooks are."""
    return content.startswith(_ZIP)


def refuse_other_books(path: Path, content: bytes) -> None:
    """Raise GivenFileRefused for workbooks of other forms, and those under a password."""
    if content.startswith(_OLE):
        raise GivenFileRefused(path, "is a workbook of an older form, or under a password", _SAVE_AS)
    if content.startswith(b"%PDF-"):
        raise GivenFileRefused(path, "is a document, no table", "ask for the table as CSV or .xlsx")


def find_sheets(path: Path, content: bytes, progress: Progress | None = None) -> Sheets:
    """The sheets of a workbook that is within bounds; raises GivenFileRefused for any other, and Stopped."""
    remarks = []
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            parts = packed.infolist()
            _refuse_parts(path, parts)
            pieces = _Pieces(packed, parts, progress)
            texts = [length for part in parts for length in _lengths_of_texts(path, pieces.of(part))]
            formulas = [_look_through(path, pieces.of(part), texts) for part in parts]
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
    if any(formulas):
        remarks.append("It has formulas: what counts is what they came to when it was last saved.")
    if any("externallinks/" in part.filename.lower() for part in parts):
        remarks.append("It refers to other workbooks, which are not read: what counts is what it came to.")
    return Sheets(names=_names(path, content), remarks=tuple(remarks))


def _refuse_parts(path: Path, parts: list[zipfile.ZipInfo]) -> None:
    if not any(part.filename == _BOOK for part in parts):
        raise GivenFileRefused(path, "is a packed file, but no workbook of the form .xlsx", _SAVE_AS)
    if len(parts) > _MOST_PARTS or sum(part.file_size for part in parts) > _MOST_UNPACKED:
        raise GivenFileRefused(path, f"unpacks to more than {size_words(_MOST_UNPACKED)}", _AS_CSV)


def _lengths_of_texts(path: Path, pieces: Iterable[bytes]) -> Iterator[int]:
    """How long each text is that cells share, with its marks; whatever part claims to hold them."""
    count, held = 0, b""
    for piece in pieces:
        held += piece
        begins = [found.start() for found in _TEXT_BEGINS.finditer(held)] if b"si" in held else []
        yield from (after - at for at, after in pairwise(begins))
        count += len(begins[1:] if count else begins)
        held = held[begins[-1] :] if begins else held if count else held[-_OVERLAP:]
        if count > _MOST_TEXTS:
            raise GivenFileRefused(path, f"has more than {_MOST_TEXTS} texts", _AS_CSV)
        if len(held) > _LONGEST_TEXT + _PIECE:
            raise GivenFileRefused(path, f"has a text of more than {size_words(_LONGEST_TEXT)}", _AS_CSV)
    if count:
        yield len(held)


def _look_through(path: Path, pieces: Iterable[bytes], texts: list[int]) -> bool:
    """Tell whether a part has formulas; raises GivenFileRefused where its cells would take too much room."""
    rows = columns = cells = shown = 0
    formulas = False
    before = b""
    for piece in pieces:
        if b"<" not in piece:
            raise GivenFileRefused(path, f"has a text of more than {size_words(_PIECE)}", _AS_CSV)
        whole = before + piece
        usual = not any(each in whole for each in _UNUSUAL)
        letters = (_PLAIN_LETTERS if usual else _LETTERS).findall(whole)
        figures = (_PLAIN_FIGURES if usual else _FIGURES).findall(whole)
        columns = max((columns, *map(_column_number, set(letters))))
        rows = max((rows, *map(int, set(figures))))
        cells += piece.count(b"<c") + piece.count(b":c")
        formulas = formulas or b"<f>" in piece or b"<f " in piece
        if texts:
            shown += sum(texts[at] for each in _VALUE.findall(whole) if (at := int(each)) < len(texts))
        if max(rows, 1) * max(columns, 1) > _MOST_CELLS or cells > _MOST_CELLS:
            raise GivenFileRefused(path, f"has a sheet that spans more than {_MOST_CELLS} cells", _AS_CSV)
        if shown > _MOST_OF_TEXTS:
            raise GivenFileRefused(path, "has texts too long for so many cells", _AS_CSV)
        before = whole[-_OVERLAP:]
    return formulas


class _Pieces:
    """Unpacks parts piece by piece, twice each, and tells how far it is; the size and the sum of a part prove true at its end."""

    def __init__(self, packed: zipfile.ZipFile, parts: list[zipfile.ZipInfo], progress: Progress | None) -> None:
        self._packed = packed
        self._progress = progress
        self._done, self._whole = 0, 2 * sum(part.file_size for part in parts)

    def of(self, part: zipfile.ZipInfo) -> Iterator[bytes]:
        """The pieces of a part; raises Stopped."""
        with self._packed.open(part) as handle:
            while piece := handle.read(_PIECE):
                tell(self._progress, min(self._done, self._whole), self._whole, STOPPED)
                self._done += len(piece)
                yield piece


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


class OpenedBook:
    """A workbook that is read sheet by sheet; the last one stays laid out, for it is read more than once."""

    def __init__(self, path: Path, content: bytes) -> None:
        self._path = path
        self._content = content
        self._sheet: tuple[str, CalamineSheet] | None = None

    def rows(self, sheet: str) -> Iterator[SourceRow]:
        """Every row of a sheet that is not empty; raises GivenFileRefused where it cannot be read."""
        return _rows(self._path, self._laid_out(sheet))

    @property
    def lines(self) -> int:
        """How many the sheet has that was read last."""
        end = None if self._sheet is None else self._sheet[1].end
        return 0 if end is None else end[0] + 1

    def lay_out(self, sheet: str, progress: Progress | None) -> None:
        """Have a sheet ready for rows(); raises GivenFileRefused, and Stopped at once, whatever the reader is at."""
        self._laid_out(sheet, progress)

    def _laid_out(self, sheet: str, progress: Progress | None = None) -> "CalamineSheet":
        if self._sheet is None or self._sheet[0] != sheet:
            read = partial(_laid_out, self._path, self._content, sheet)
            # Nobody knows how far it is: a bar that stands still, and asks whether to go on.
            laid = read() if progress is None else done_beside(read, lambda: tell(progress, 0, 1, STOPPED))
            self._sheet = (sheet, laid)
        return self._sheet[1]


def _laid_out(path: Path, content: bytes, sheet: str) -> "CalamineSheet":
    from python_calamine import CalamineError, CalamineWorkbook  # noqa: PLC0415

    try:
        return CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_name(sheet)
    except (CalamineError, OSError, ValueError) as problem:
        raise _damaged(path) from problem


def _rows(path: Path, sheet: "CalamineSheet") -> Iterator[SourceRow]:
    if sheet.start is None:
        return
    before = ("",) * sheet.start[1]
    # Rows come from the first of the sheet on, cells of a row from the first column that holds any.
    for line, row in enumerate(sheet.iter_rows(), 1):
        if not any(row):
            continue
        cells = [*before, *map(_text_of, row)]
        while cells and not cells[-1].strip():
            cells.pop()
        if cells:
            refuse_row(path, line, cells)
            exact = frozenset(at for at, cell in enumerate(row, sheet.start[1]) if not isinstance(cell, str))
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
