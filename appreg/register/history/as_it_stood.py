"""A register as it stood at a line of its journal: made anew from the lines up to there, in a file of its own."""

import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from itertools import count, groupby, islice
from pathlib import Path
from typing import Any, Final

from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.progress import Progress, shared, tell
from appreg.register.engine.dialect import derived_cells
from appreg.register.engine.file_engine import FileEngine
from appreg.register.history.journal import Row, read_cells
from appreg.register.history.told_record import ToldLine, ToldRecord
from appreg.register.journal.journal_chain import COLUMNS, FIRST_HASH, SELECT, row_hash
from appreg.register.journal.journal_ends import HEAD, heads, holds_line
from appreg.register.journal.sealed_lines import SEALED
from appreg.register.journal.seen_lines import Branches, Mark, SeenLines, has_several
from appreg.register.opening.copying import draft_in
from appreg.register.opening.register_file import Register, open_register
from appreg.register.opening.row_carrying import laid_file
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE, Kind

_AT_ONCE: Final = 5000
_CARRIED: Final = 25
"""Hundredths of the work that are done once the lines are carried and their records are still to follow."""
_SEQUENCE, _PREVIOUS, _HASH, _ENTITY = (COLUMNS.index(name) for name in ("sequence", "previous_hash", "hash", "entity"))
Line = tuple[Any, ...]
"""Which record a line of the journal tells of, and what it leaves of it (None: nothing); then what was, and where it stands."""
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
                put_records(target, KINDS_BY_TABLE[table], read, position, shared(progress, _CARRIED, 100))
        with open_register(path, create=False) as then:
            yield then


def _carry_books(register: Register, target: FileEngine, position: int, head: str, progress: Progress | None) -> None:
    for table, columns in (("migration", ("number", "name", "applied")), ("register_meta", ("key", "value"))):
        where = " WHERE key = 'origin'" if table == "register_meta" else ""
        rows = register.rows(f"SELECT {', '.join(columns)} FROM {table}{where}")
        target.put_rows(table, columns, rows)
    done = 0
    for chain, end in _seen_there(register, position, head).items():
        last: tuple[Any, ...] = ()
        lines = _followed(register, chain, end, position)
        while part := list(islice(lines, _AT_ONCE)):
            target.put_rows("journal", COLUMNS, part)
            done, last = done + len(part), part[-1]
            tell(progress, min(done, position), position, _STOPPED)
        target.put_rows("register_meta", ("key", "value"), [(HEAD + chain, f"{end} {last[_HASH]}")])


def _seen_there(register: Register, position: int, head: str) -> Mapping[str, int]:
    """The last line of each chain that stood in the register when the line was written, its own among them."""
    found = [chain for chain in {register.origin, *heads(register.rows)} if holds_line(register, chain, position, head)]
    if not found:
        raise _another_history(register, position)
    return SeenLines(register.rows).seen_by(Mark(found[0], position))


def _followed(register: Register, chain: str, end: int, position: int) -> Iterator[tuple[Any, ...]]:
    """The lines of a chain up to there, each hash worked out anew from the line before."""
    stem = Branches(register.rows).stem(chain)
    before = (
        "" if stem is None else register.rows("SELECT hash FROM journal WHERE origin = ? AND sequence = ?", stem)[0][0]
    )
    chained, last = before or FIRST_HASH, 0
    for line in register.stream(f"{SELECT} WHERE origin = ? AND sequence <= ? ORDER BY sequence", (chain, end)):
        # Numbers are covered by the hashes: a line that is missing is not followed by the next.
        if line[_ENTITY] != SEALED and (line[_PREVIOUS] != chained or row_hash(line) != line[_HASH]):
            raise _another_history(register, position)
        last, chained = line[_SEQUENCE], line[_HASH]
        yield line
    if last != end:
        raise _another_history(register, position)


def _another_history(register: Register, position: int) -> RegisterUnusable:
    return RegisterUnusable(
        f"The journal of {register.place} is no longer what it was up to line {position}, so nothing is told as it stood "
        f"there; run `appreg verify`; {PUT_BACK}."
    )


def put_records(target: FileEngine, kind: Kind[Any], read: Iterator[int], position: int, progress: Progress) -> None:
    """Put in the records of one kind as its lines tell them; `read` counts the lines of all kinds."""
    names = kind.codec.names
    beside = tuple(target.dialect.derived.get(kind.table, ()))
    lines = _telling(_lines_of(target, kind), read, position, progress)
    several = has_several(target.rows)
    told = told_records(kind, SeenLines(target.rows), lines) if several else _told(kind, lines)
    rows = (_whole_row(target, kind, uid, row) for uid, row in told)
    while part := list(islice(rows, _AT_ONCE)):
        target.put_rows(kind.table, (*names, *beside), part)


def _whole_row(target: FileEngine, kind: Kind[Any], uid: str, row: Row) -> tuple[Cell, ...]:
    cells = {"uid": uid, **row}
    derived = derived_cells(target.dialect, kind.table, cells, cells)
    return (*(cells.get(name) for name in kind.codec.names), *derived.values())


def _lines_of(target: FileEngine, kind: Kind[Any]) -> Iterator[Line]:
    return target.stream(
        'SELECT uid, "after", "before", origin, sequence, time FROM journal WHERE entity = ? '
        "ORDER BY uid, time, origin, sequence",
        (kind.table,),
    )


def _telling(lines: Iterable[Line], read: Iterator[int], position: int, progress: Progress) -> Iterator[Line]:
    """The lines, while it is told how many of all were read."""
    for line in lines:
        done = next(read)
        if done % _AT_ONCE == 0:
            tell(progress, min(done, position), position, _STOPPED)
        yield line


def told_records(kind: Kind[Any], seen: SeenLines, lines: Iterable[Line]) -> Iterator[tuple[str, Row]]:
    """The same where several chains tell of a record, which may know nothing of one another."""
    for uid, told in groupby(lines, key=lambda line: line[0]):
        record = ToldRecord(seen, dict(kind.added))
        for _, after, before, origin, sequence, time in told:
            was, became = (None if each is None else read_cells(kind.table, uid, each) for each in (before, after))
            record.add(ToldLine(Mark(origin, sequence), time, "", was, became))
        if record.row is not None:
            yield uid, record.row


def _told(kind: Kind[Any], lines: Iterable[Line]) -> Iterator[tuple[str, Row]]:
    """The rows of a table by key, as the journal tells them."""
    for uid, told in groupby(lines, key=lambda line: line[0]):
        row: Row | None = None
        for _, after, *_where in told:
            row = (
                None
                if after is None
                else {**(kind.added if row is None else row), **read_cells(kind.table, uid, after)}
            )
        if row is not None:
            yield uid, row
