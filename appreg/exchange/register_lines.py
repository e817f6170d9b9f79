"""A whole register as JSON Lines: a head, a line for each row of each table, and an end with the sum of all before it."""

import hashlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Annotated, BinaryIO, Final, Literal, TypeVar

from msgspec import DecodeError, Meta, Struct
from msgspec.json import Decoder, Encoder

from appreg.errors import InputRefused
from appreg.given_files import GivenFileRefused, opened_given

FORMAT: Final = "appreg.register-lines"
LINES_END: Final = ".jsonl"
"""How the name of such a file ends."""
_LONGEST: Final = 32_000_000
"""Bytes of one line; no row that the program writes comes near."""
_AT_ONCE: Final = 1000
_AGAIN: Final = "export it again, or take another copy of it"

Whole = Annotated[int, Meta(ge=-(1 << 63), le=(1 << 63) - 1)]
"""What a column of whole numbers holds."""
LineCell = str | Whole | None


class LinesTable(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A table, its columns, and how many lines follow of it."""

    table: str
    columns: tuple[str, ...]
    rows: Annotated[int, Meta(ge=0)]


class LinesHead(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The first line: whose register it is, of which steps its tables are, and which lines follow."""

    format: Literal["appreg.register-lines"] = "appreg.register-lines"
    version: Literal[1] = 1
    steps: int
    """The last step that the tables have been through (the table `migration`)."""
    origin: str
    """By which the register is told from others."""
    tables: tuple[LinesTable, ...]
    """In the order of the lines that follow."""


class RowLine(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A row of a table: each of its columns with what the register keeps there."""

    table: str
    cells: dict[str, LineCell]


class LinesEnd(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The last line: how many lines stand before it, and the SHA-256 of all their bytes."""

    end: Literal["appreg.register-lines"] = "appreg.register-lines"
    lines: int
    sha256: str


Row = tuple[str | int | None, ...]
Encode = Callable[[object], bytes]
Part = TypeVar("Part", LinesHead, RowLine, LinesEnd)


def write_lines(path: Path, head: LinesHead, rows: Iterable[tuple[LinesTable, Iterable[Row]]]) -> int:
    """Write them into a file that is there; how many lines it has. Raises InputRefused for what no such line can hold."""
    encode, summed, lines = Encoder().encode, hashlib.sha256(), 0
    with path.open("wb") as file:
        for text in _texts(head, rows, encode):
            summed.update(text)
            file.write(text)
            lines += text.count(b"\n")
        file.write(encode(LinesEnd(lines=lines, sha256=summed.hexdigest())) + b"\n")
    return lines + 1


def _texts(head: LinesHead, rows: Iterable[tuple[LinesTable, Iterable[Row]]], encode: Encode) -> Iterator[bytes]:
    yield encode(head) + b"\n"
    for table, told in rows:
        left = iter(told)
        while part := list(islice(left, _AT_ONCE)):
            yield b"".join([_row_text(table, row, encode) for row in part])


def _row_text(table: LinesTable, row: Row, encode: Encode) -> bytes:
    try:
        return encode({"table": table.table, "cells": dict(zip(table.columns, row, strict=True))}) + b"\n"
    except UnicodeEncodeError as problem:
        raise InputRefused(
            f"A row of {table.table} holds half a character, which no such file can hold; run `appreg verify`."
        ) from problem


class LinesReader:
    """Reads such a file line by line, adding up what it has read; raises GivenFileRefused wherever it is not whole."""

    def __init__(self, path: Path, file: BinaryIO) -> None:
        """Read the head."""
        self._path = path
        self._file = file
        self._summed = hashlib.sha256()
        self._line = 0
        self._rows = Decoder(RowLine)
        first = self._next_text()
        if not first.startswith(b"{"):
            raise GivenFileRefused(path, "is no register written as JSON Lines", "name what `appreg export` wrote")
        self.head = self._read(first, Decoder(LinesHead))
        """The first line."""

    def rows(self, table: LinesTable) -> Iterator[Row]:
        """The rows of a table, which are to be asked for in the order of the head."""
        columns = table.columns
        for _ in range(table.rows):
            read = self._read(self._next_text(), self._rows)
            if read.table != table.table or read.cells.keys() != set(columns):
                raise self._refused(f"is no row of {table.table} as its first line has them")
            yield tuple([read.cells[name] for name in columns])

    def finish(self) -> None:
        """Read the last line and hold it against what was read."""
        lines, summed = self._line, self._summed.hexdigest()
        end = self._read(self._next_text(), Decoder(LinesEnd))
        if (end.lines, end.sha256) != (lines, summed):
            raise GivenFileRefused(self._path, "was altered since it was written: its sum is another", _AGAIN)
        if self._file.read(1):
            raise GivenFileRefused(self._path, "goes on after its last line", _AGAIN)

    def _next_text(self) -> bytes:
        try:
            text = self._file.readline(_LONGEST)
        except OSError as problem:
            raise self._refused(f"cannot be read ({problem.strerror or problem})") from problem
        self._line += 1
        if not text.endswith(b"\n"):
            raise self._refused("is too long for one of a register") if len(text) == _LONGEST else self._cut_off()
        self._summed.update(text)
        return text

    def _cut_off(self) -> GivenFileRefused:
        if self._line == 1:
            return GivenFileRefused(
                self._path, "is no register written as JSON Lines", "name what `appreg export` wrote"
            )
        return GivenFileRefused(self._path, f"ends in line {self._line}, before its last line", _AGAIN)

    def _read(self, text: bytes, decoder: "Decoder[Part]") -> Part:
        try:
            return decoder.decode(text)
        except (DecodeError, UnicodeDecodeError, RecursionError) as problem:
            raise self._refused(f"is not what it should be ({problem})") from problem

    def _refused(self, what: str) -> GivenFileRefused:
        return GivenFileRefused(self._path, f"is damaged: its line {self._line} {what}", _AGAIN)


@contextmanager
def reading_lines(path: Path) -> Iterator[LinesReader]:
    """Such a file, its head read."""
    with opened_given(path) as file:
        yield LinesReader(path, file)
