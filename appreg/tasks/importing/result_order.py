"""Rows of results in the order in which they are best taken in: item by item, and each item's days in their order."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from heapq import merge
from itertools import groupby
from tempfile import TemporaryFile, gettempdir
from typing import IO, Final

from msgspec import msgpack

from appreg.core.values.searched_words import small_ascii
from appreg.errors import InputRefused
from appreg.exchange.file_problems import FileProblem
from appreg.exchange.long_rows import SORT_THEM
from appreg.exchange.mapped_row import MappedRow

_AT_ONCE: Final = 20_000
"""Rows that are sorted in memory; those of longer tables wait in files that nobody else can open."""
_TOLD: Final = 1000
"""Rows after which it is told how many were read."""
_LENGTH: Final = 4
"""Bytes before each row in a file: how long it is."""
_Placed = tuple[str, str, int, bytes]
"""A row, packed, behind what it is sorted by: item, day and place in its table."""


def item_by_item(rows: Iterable[MappedRow], told: Callable[[int], None] | None = None) -> Iterator[MappedRow]:
    """The same rows, those of one item together and by date, whatever order a table has them in; memory stays the same.

    A failure that is put into the register after a later pass would stand, so the past has to come in as it happened.
    `told` hears how many rows were read. Raises InputRefused where the temporary folder has no room.
    """
    held: list[_Placed] = []
    with ExitStack() as files:
        runs: list[IO[bytes]] = []
        for at, row in enumerate(rows):
            if told is not None and at % _TOLD == 0:
                told(at)
            # Packed, a row takes about what its line does; as it is, ten times that.
            held.append((_item(row), row.values.get("date", ""), at, msgpack.encode(row)))
            if len(held) == _AT_ONCE:
                runs.append(files.enter_context(TemporaryFile()))
                _write(sorted(held), runs[-1])
                held.clear()
        held.sort()
        decoder = msgpack.Decoder(MappedRow)
        for *_, packed in merge(*map(_read, runs), held):
            yield decoder.decode(packed)


def none_torn_apart(rows: Iterable[MappedRow], file: str) -> Iterator[MappedRow]:
    """The same rows; where tests of one item and day stand apart in their table, none of them is taken without the others.

    `rows` come from item_by_item(): what failed further down must not be left out of what passed further up.
    """
    for _, together in groupby(rows, key=lambda row: (_item(row), row.values.get("date", ""))):
        every = list(together)
        torn = {row.line for row in every if any(each.todo == SORT_THEM for each in row.problems)}
        for row in every:
            if not torn or row.line in torn:
                yield row
                continue
            what = (
                f"tests of {row.values.get('tag') or row.values.get('serial', '')} on that day stand further down too"
            )
            told = FileProblem(file=file, line=row.line, column="", what=what, todo=SORT_THEM)
            yield MappedRow(line=row.line, values=row.values, problems=(*row.problems, told))


def _write(placed: Iterable[_Placed], file: IO[bytes]) -> None:
    try:
        for each in placed:
            packed = msgpack.encode(each)
            file.write(len(packed).to_bytes(_LENGTH) + packed)
        file.seek(0)
    except OSError as problem:
        raise InputRefused(
            f"The rows cannot be put in order in {gettempdir()} ({problem.strerror}); make room there, and try again."
        ) from problem


def _read(file: IO[bytes]) -> Iterator[_Placed]:
    decoder = msgpack.Decoder(_Placed)
    while length := file.read(_LENGTH):
        yield decoder.decode(file.read(int.from_bytes(length)))


def _item(row: MappedRow) -> str:
    named = row.values
    return small_ascii(named.get("tag") or f"\x7f{named.get('serial', '')}\0{named.get('make', '')}")
