"""A register as it stood at a line of its journal: made anew from the lines up to there, in a file of its own."""

import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import count, groupby, islice
from pathlib import Path
from typing import Any, Final

from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.progress import Progress, shared, tell
from appreg.register.engine.dialect import derived_cells
from appreg.register.engine.file_engine import FileEngine
from appreg.register.history.journal import Row, read_cells
from appreg.register.journal.journal_chain import COLUMNS, FIRST_HASH, SELECT, row_hash
from appreg.register.journal.journal_ends import HEAD
from appreg.register.opening.copying import draft_in
from appreg.register.opening.register_file import Register, open_register
from appreg.register.opening.row_carrying import laid_file
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE, Kind

_AT_ONCE: Final = 5000
_CARRIED: Final = 25
"""Hundredths of the work that are done once the lines are carried and their records are still to follow."""
_SEQUENCE, _PREVIOUS, _HASH = (COLUMNS.index(name) for name in ("sequence", "previous_hash", "hash"))
Line = tuple[str, str | None]
"""Which record a line of the journal tells of, and what it leaves of it; None: nothing."""
_STOPPED: Final = "Stopped; no file was written, and the register is as it was."


@contextmanager
def as_it_stood(register: Register, position: int, head: str, progress: Progress | None = None) -> Iterator[Register]:
    """The register as it stood after the line of that number, whose hash is `head`; gone at the end of the block.

    Raises RegisterUnusable where the lines up to there are no longer the ones that came to that hash, InputRefused where
    there is no room for it, and Stopped.
    """
    # Not beside the register: where it can only be read, nothing can be written.
    with draft_in(Path(tempfile.gettempdir()), "register") as path:
        with laid_file(path) as target:
            _carry_books(register, target, position, head, shared(progress, 0, _CARRIED))
            read = count(1)
            for table in JOURNALLED:
                _put_rows(target, KINDS_BY_TABLE[table], read, position, shared(progress, _CARRIED, 100))
        with open_register(path, create=False) as then:
            yield then


def _carry_books(register: Register, target: FileEngine, position: int, head: str, progress: Progress | None) -> None:
    for table, columns in (("migration", ("number", "name", "applied")), ("register_meta", ("key", "value"))):
        where = " WHERE key = 'origin'" if table == "register_meta" else ""
        rows = register.rows(f"SELECT {', '.join(columns)} FROM {table}{where}")
        target.put_rows(table, columns, rows)
    lines = _followed(register, position, head)
    done = 0
    while part := list(islice(lines, _AT_ONCE)):
        target.put_rows("journal", COLUMNS, part)
        done += len(part)
        tell(progress, done, position, _STOPPED)
    target.put_rows("register_meta", ("key", "value"), [(HEAD + register.origin, f"{position} {head}")])


def _followed(register: Register, position: int, head: str) -> Iterator[tuple[Any, ...]]:
    """The register's own lines up to there, each hash worked out anew from the line before."""
    chained, last = FIRST_HASH, 0
    for line in register.stream(
        f"{SELECT} WHERE origin = ? AND sequence <= ? ORDER BY sequence", (register.origin, position)
    ):
        if line[_SEQUENCE] != last + 1 or line[_PREVIOUS] != chained or row_hash(line) != line[_HASH]:
            raise _another_history(register, position)
        last, chained = line[_SEQUENCE], line[_HASH]
        yield line
    if (last, chained) != (position, head):
        raise _another_history(register, position)


def _another_history(register: Register, position: int) -> RegisterUnusable:
    return RegisterUnusable(
        f"The journal of {register.place} is no longer what it was up to line {position}, so nothing is told as it stood "
        f"there; run `appreg verify`; {PUT_BACK}."
    )


def _put_rows(target: FileEngine, kind: Kind[Any], read: Iterator[int], position: int, progress: Progress) -> None:
    """Put in the records of one kind; `read` counts the lines of all kinds."""
    names = kind.codec.names
    beside = tuple(target.dialect.derived.get(kind.table, ()))
    lines = _telling(_lines_of(target, kind), read, position, progress)
    rows = (_whole_row(target, kind, uid, row) for uid, row in _told(kind, lines))
    while part := list(islice(rows, _AT_ONCE)):
        target.put_rows(kind.table, (*names, *beside), part)


def _whole_row(target: FileEngine, kind: Kind[Any], uid: str, row: Row) -> tuple[Cell, ...]:
    cells = {"uid": uid, **row}
    derived = derived_cells(target.dialect, kind.table, cells, cells)
    return (*(cells.get(name) for name in kind.codec.names), *derived.values())


def _lines_of(target: FileEngine, kind: Kind[Any]) -> Iterator[Line]:
    return target.stream(
        'SELECT uid, "after" FROM journal WHERE entity = ? ORDER BY uid, time, sequence', (kind.table,)
    )


def _telling(lines: Iterable[Line], read: Iterator[int], position: int, progress: Progress) -> Iterator[Line]:
    """The lines, while it is told how many of all were read."""
    for line in lines:
        done = next(read)
        if done % _AT_ONCE == 0:
            tell(progress, done, position, _STOPPED)
        yield line


def _told(kind: Kind[Any], lines: Iterable[Line]) -> Iterator[tuple[str, Row]]:
    """The rows of a table by key, as the journal tells them."""
    for uid, told in groupby(lines, key=lambda line: line[0]):
        row: Row | None = None
        for _, after in told:
            row = (
                None
                if after is None
                else {**(kind.added if row is None else row), **read_cells(kind.table, uid, after)}
            )
        if row is not None:
            yield uid, row
