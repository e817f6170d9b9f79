"""Tables that are text: which encoding, which delimiter and quotes, and their rows one by one."""

import codecs
import csv
import io
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.exchange.item_list import is_own_head
from appreg.exchange.source_rows import LONGEST_CELL, MOST_COLUMNS, MOST_LINES, SourceRow, refuse_row, too_long
from appreg.given_files import GivenFileRefused

DELIMITERS: Final = (",", ";", "\t", "|")
_QUOTES: Final = ('"', "'", "~", "`")
"""What cells may stand in; without any, and with one delimiter at most, a text can be read in one way alone."""
_LONGEST_LINE: Final = LONGEST_CELL * 20
"""Characters; no line of a table comes near it."""
_MARKS: Final = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))
_WINDOWS: Final = "cp1252"
_LEGACY: Final = ("cp1252", "cp1250", "cp1251", "cp1253", "cp1254", "cp1255", "cp1257", "cp850", "mac_roman")
"""Encodings of one byte a character that offices have, apart from those that differ from these in signs nobody types."""
_SQUARE: Final = ("m²", "½")
"""What units have, and no word: of the encodings above only Windows-1252 and its like have them at these bytes."""
_SAMPLE: Final = 40_000
"""Bytes that an encoding is found out from."""
_SAMPLE_LINES: Final = 40
_SAMPLE_OF_LINE: Final = 400
_SAMPLE_OF_ALL: Final = 4000
"""Characters, as many as a dialect is found out from in good time."""
_SEPARATOR_LINE: Final = re.compile(r"(?i)\"?sep=(.?)\"?\Z")
"""The first line by which spreadsheets are told the delimiter."""


class Encoding(Struct, frozen=True, kw_only=True):
    """How the text of a file is written."""

    name: str
    """As Python calls it."""
    remarks: tuple[str, ...] = ()


class Dialect(Struct, frozen=True, kw_only=True):
    """How the cells of a line are told apart."""

    delimiter: str
    quote: str


def find_encoding(path: Path, content: bytes) -> Encoding:
    """Find out how a text is written; raises GivenFileRefused for what is none, or is written in two ways at once."""
    if max(content.count(b"\n"), content.count(b"\r")) > MOST_LINES:
        raise GivenFileRefused(path, f"has more than {MOST_LINES} lines", "divide it into several files")
    name = next((name for mark, name in _MARKS if content.startswith(mark)), "") or _wide_without_mark(content)
    if name:
        _refuse_unreadable(path, content, name)
        return Encoding(name=name)
    if b"\0" in content:
        raise GivenFileRefused(path, "holds zero bytes, so it is no text", "check that it is the right file")
    try:
        _refuse_unreadable(path, content, "utf-8")
    except GivenFileRefused:
        _refuse_mixed(path, content)
        return _legacy(path, content)
    return Encoding(name="utf-8")


def _wide_without_mark(content: bytes) -> str:
    """UTF-16 without its mark: most characters of a table are ASCII, so that every second byte is zero."""
    sample = content[:_SAMPLE]
    even, odd = sample[::2].count(0), sample[1::2].count(0)
    half = max(len(sample) // 4, 1)
    if odd > half and not even:
        return "utf-16-le"
    return "utf-16-be" if even > half and not odd else ""


def _refuse_unreadable(path: Path, content: bytes, name: str) -> None:
    decoder = codecs.getincrementaldecoder(name)()
    step, line = 1_000_000, 1
    for at in range(0, len(content), step):
        try:
            text = decoder.decode(content[at : at + step], final=at + step >= len(content))
        except UnicodeError as problem:
            raise GivenFileRefused(
                path, f"is not {name.upper()} text throughout, from about line {line} on", "save it as UTF-8"
            ) from problem
        if "\0" in text:
            raise GivenFileRefused(path, "holds zero bytes, so it is no text", "check that it is the right file")
        line += text.count("\n")


def _refuse_mixed(path: Path, content: bytes) -> None:
    """Raise GivenFileRefused where most of a text beyond ASCII is UTF-8 and some of it is not."""
    text = content.decode("utf-8", errors="surrogateescape")
    wrong = re.findall("[\udc80-\udcff]", text)
    right = len(text) - len(text.encode("ascii", errors="ignore")) - len(wrong)
    if right >= len(wrong):
        line = text.count("\n", 0, text.index(wrong[0])) + 1
        raise GivenFileRefused(
            path,
            f"is UTF-8 text, but line {line} holds bytes that are not",
            "write that line anew, and save it as UTF-8",
        )


def _legacy(path: Path, content: bytes) -> Encoding:
    """An encoding of one byte a character, found from the lines that are not ASCII; it is a guess, and told as one."""
    from charset_normalizer import from_bytes  # noqa: PLC0415 - only such files need it

    telling = [line for line in content[: _SAMPLE * 50].split(b"\n") if not line.isascii()]
    sample = b"\n".join(telling)[:_SAMPLE] or content[:_SAMPLE]
    if any(mark in sample.decode(_WINDOWS, errors="ignore") for mark in _SQUARE):
        name = _WINDOWS
    else:
        best = from_bytes(sample, cp_isolation=list(_LEGACY)).best()
        alike = [] if best is None else [best.encoding, *best.could_be_from_charset]
        name = _WINDOWS if not alike or _WINDOWS in alike else alike[0]
    _refuse_unreadable(path, content, name)
    remark = f"It is taken to be written in {name}, which is a guess: look at its letters, or save it as UTF-8."
    return Encoding(name=name, remarks=(remark,))


def find_dialect(content: bytes, encoding: str) -> Dialect:
    """Find out delimiter and quotes from the first lines; a table of one column has commas."""
    text = content[: _SAMPLE * 4].decode(encoding, errors="ignore").removeprefix("\ufeff")
    lines = [line[:_SAMPLE_OF_LINE] for line in text.splitlines() if line.strip()][:_SAMPLE_LINES]
    if is_own_head(text.partition("\r\n")[0]):
        return Dialect(delimiter=",", quote='"')
    told = _SEPARATOR_LINE.match(lines[0].strip()) if lines else None
    if told and told[1]:
        return Dialect(delimiter=told[1], quote='"')
    sample = "\n".join(lines)[:_SAMPLE_OF_ALL] + "\n"
    there = [each for each in DELIMITERS if each in sample]
    if len(there) > 1 or any(quote in sample for quote in _QUOTES):
        return _sniffed(sample, there)
    return Dialect(delimiter=there[0] if there else DELIMITERS[0], quote='"')


def _sniffed(sample: str, there: Sequence[str]) -> Dialect:
    from clevercsv.detect import Detector  # noqa: PLC0415 - takes a third of a second

    found = Detector().detect(sample, delimiters=list(DELIMITERS)) if there else None
    delimiter = found.delimiter if found is not None and found.delimiter else _commonest(sample)
    quote = found.quotechar if found is not None and found.quotechar else '"'
    return Dialect(delimiter=delimiter, quote=quote)


def _commonest(sample: str) -> str:
    return max(DELIMITERS, key=sample.count)


def text_rows(path: Path, content: bytes, encoding: str, dialect: Dialect) -> Iterator[SourceRow]:
    """Every row that is not empty; raises GivenFileRefused for one beyond all bounds."""
    reader = csv.reader(_lines(path, content, encoding), delimiter=dialect.delimiter, quotechar=dialect.quote)
    line = 1
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as problem:
            raise too_long(path, line) from problem
        if cells is None:
            return
        if len(cells) > MOST_COLUMNS and not any(cells[MOST_COLUMNS:]):
            del cells[MOST_COLUMNS:]
        if not any(cells):
            cells = []
        while cells and not cells[-1].strip():
            cells.pop()
        if cells and not (line == 1 and len(cells) == 1 and _SEPARATOR_LINE.match(cells[0])):
            refuse_row(path, line, cells)
            yield SourceRow(line=line, cells=tuple(cells))
        line = reader.line_num + 1
        if line > MOST_LINES + 1:
            raise GivenFileRefused(path, f"has more than {MOST_LINES} lines", "divide it into several files")


def _lines(path: Path, content: bytes, encoding: str) -> Iterator[str]:
    """The lines of a text, whatever ends them, none longer than a table's may be."""
    try:
        handle = io.TextIOWrapper(io.BytesIO(content), encoding=encoding, newline="")
        number = 0
        while text := handle.readline(_LONGEST_LINE):
            number += 1
            if len(text) == _LONGEST_LINE:
                if text.count(",") + text.count(";") + text.count("\t") + text.count("|") > MOST_COLUMNS:
                    refuse_row(path, number, [""] * (MOST_COLUMNS + 1))
                raise too_long(path, number)
            yield text.removeprefix("\ufeff") if number == 1 else text
    except (UnicodeError, LookupError) as problem:
        raise GivenFileRefused(path, f"is not {encoding.upper()} text throughout", "save it as UTF-8") from problem
