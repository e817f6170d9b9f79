"""A site's file: the lines of the journal that tell of its records, the others by number and hash, and the tables that follow."""

import json
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import closing
from datetime import date
from itertools import count, islice
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from appreg.core.records.seals import Seal, seal_at
from appreg.core.values.uids import Uid
from appreg.progress import Progress, shared, tell
from appreg.register.copies.handed_records import AFTER_ALL, HandedRecords, handed_records
from appreg.register.copies.left_items import is_left_from, left_cell
from appreg.register.engine.file_engine import FileEngine
from appreg.register.engine.file_opening import connected
from appreg.register.engine.register_errors import sentences
from appreg.register.history.as_it_stood import put_records
from appreg.register.history.told_record import FOLLOWING
from appreg.register.journal.changes import Change
from appreg.register.journal.journal_chain import COLUMNS, SEEN, SELECT, read_seen
from appreg.register.journal.journal_ends import HEAD, heads
from appreg.register.journal.sealed_lines import (
    FORM,
    HAND_OVER,
    HANDED,
    LEFT,
    SEALED,
    Handed,
    digest_of,
    handed_cell,
    read_handed,
)
from appreg.register.journal.seen_lines import Branches, Mark, SeenLines
from appreg.register.opening.copying import stand_alone
from appreg.register.opening.register_file import Register, open_register
from appreg.register.opening.row_carrying import laid_file
from appreg.register.schema.file_marks import HANDED_NOTE
from appreg.register.schema.record_codec import canonical
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE

_AT_ONCE: Final = 5000
_CHOSEN, _CARRIED = 20, 60
"""Hundredths of the work that are done once it is known what goes along, and once the lines are in the file."""
_STOPPED: Final = "Stopped; no file was written, and the register is as it was."
_BOOKS: Final = frozenset({SEEN, "migration", "register_meta"})
"""What lines tell of that name no record of anybody."""
_ORIGIN, _SEQUENCE, _ENTITY, _UID, _PREVIOUS, _HASH = (
    COLUMNS.index(name) for name in ("origin", "sequence", "entity", "uid", "previous_hash", "hash")
)
Settle = Callable[[Register, Collection[Uid]], object]
"""Works out result and dates of items anew."""
Line = tuple[Any, ...]


class HandedFile(Struct, frozen=True, kw_only=True):
    """What went into the file."""

    records: dict[str, int]
    """How many, by table."""
    left_out: dict[str, int]
    """Those that tell of another client, by table."""
    left: dict[Uid, date]
    """Items that are at the site no more, with the day on which they left."""
    lines: int
    """Of the journal, told."""
    seal: Seal
    """Of the line that notes it, which covers all of them."""


def awake(register: Register, progress: Progress | None) -> Progress:
    """The same progress for work within a change that asks the register nothing: a server ends one that sleeps a minute."""

    def told(done: int, total: int) -> bool:
        register.rows("SELECT 1")
        return progress is None or progress(done, total)

    return progress or (lambda *_: True) if register.in_file else told


def note_hand_over(register: Register, change: Change, site: Uid, progress: Progress | None = None) -> HandedRecords:
    """Find what goes along, and note as the last line of the change which lines those are."""
    records = handed_records(register, site)
    tell(progress, 1, 3, _STOPPED)
    for table, uid in sorted(records.told_whole):
        kind = KINDS_BY_TABLE[table]
        (cells,) = register.rows(f'SELECT {kind.columns} FROM "{table}" WHERE uid = ?', (uid,))
        following = {"uid", *(FOLLOWING.get(table, ()) if table == "appliance" else ())}
        row = {name: cell for name, cell in zip(kind.codec.names, cells, strict=True) if name not in following}
        change.note_whole(kind, uid, canonical(row))
    for item, leaving in sorted(records.left.items()):
        if not leaving.noted:
            change.note_left(item, left_cell(site, leaving))
    change.note_seen()
    tell(progress, 2, 3, _STOPPED)
    told = list(_told_lines(register, records, site))
    change.note_handed(site, handed_cell(Handed(lines=_ranges(told), digest=digest_of(told))))
    return records


def _told_lines(register: Register, records: HandedRecords, site: Uid) -> Iterator[tuple[str, int, str]]:
    """Chain, number and hash of the lines that go along."""
    whole = {key: _last_line(register, *key) for key in records.told_whole}
    items = records.tables["appliance"]
    for origin, sequence, own_hash, entity, uid, time, after in register.stream(
        "SELECT origin, sequence, hash, entity, uid, time, "
        f"CASE WHEN entity = '{LEFT}' THEN \"after\" END FROM journal ORDER BY origin, sequence"
    ):
        if (
            entity in _BOOKS
            or (entity == HANDED and uid == site)
            or (entity == LEFT and uid in items and is_left_from(after, site))
            or (
                uid in records.tables.get(entity, ())
                and whole.get((entity, uid), (origin, sequence)) == (origin, sequence)
                and time < records.until.get((entity, uid), AFTER_ALL)
            )
        ):
            yield origin, sequence, own_hash


def _last_line(register: Register, table: str, uid: str) -> tuple[str, int]:
    ((origin, sequence),) = register.rows(
        "SELECT origin, sequence FROM journal WHERE entity = ? AND uid = ? ORDER BY time DESC LIMIT 1", (table, uid)
    )
    return origin, sequence


def _ranges(told: Collection[tuple[str, int, str]]) -> dict[str, tuple[tuple[int, int], ...]]:
    found: dict[str, list[tuple[int, int]]] = {}
    for chain, number, _ in told:
        ranges = found.setdefault(chain, [])
        if ranges and ranges[-1][1] == number - 1:
            ranges[-1] = ranges[-1][0], number
        else:
            ranges.append((number, number))
    return {chain: tuple(ranges) for chain, ranges in found.items()}


def write_handed_file(
    source: Register,
    site: Uid,
    records: HandedRecords,
    draft: Path,
    *,
    settle: Settle,
    progress: Progress | None = None,
) -> HandedFile:
    """Write what the last hand-over of the site noted into a draft, an empty file, which stands alone in the end.

    Nothing of the register's own file is copied: the tables are made of the lines that go along. Raises Stopped.
    """
    end, handed = _last_hand_over(source, site)
    ((own_hash,),) = source.rows("SELECT hash FROM journal WHERE origin = ? AND sequence = ?", end)
    with laid_file(draft) as target:
        told = _put_lines(source, target, end, handed, shared(progress, 0, _CARRIED))
        read = count(1)
        for table in JOURNALLED:
            put_records(target, KINDS_BY_TABLE[table], read, max(told, 1), shared(progress, _CARRIED, 100))
        counts = {table: int(target.rows(f'SELECT count(*) FROM "{table}"')[0][0]) for table in JOURNALLED}
    items = [Uid(uid) for table, uid in sorted(records.told_whole) if table == "appliance"] + sorted(records.left)
    if items:
        with open_register(draft, create=False) as register:
            register.writing_place = _NewChain()
            settle(register, items)
    _note_what_it_is(draft, site)
    return HandedFile(
        records={table: number for table, number in counts.items() if number},
        left_out=records.left_out,
        left={item: leaving.on for item, leaving in sorted(records.left.items())},
        lines=told,
        seal=seal_at(end.line, own_hash),
    )


class _NewChain:
    """What is worked out in the file alone is written in a chain of its own."""

    def origin_of(self, _register: Register) -> Uid | None:
        """A chain that begins."""
        return None

    def wrote(self, _register: Register, _origin: Uid) -> None:
        """Nobody goes on with it."""


def _last_hand_over(source: Register, site: Uid) -> tuple[Mark, Handed]:
    ((chain, line, cell),) = source.rows(
        'SELECT origin, sequence, "after" FROM journal WHERE entity = ? AND uid = ? ORDER BY time DESC LIMIT 1',
        (HANDED, site),
    )
    handed = read_handed(cell)
    if handed is None:
        raise TypeError(f"line {line} notes no hand-over")
    return Mark(chain, line), handed


def _put_lines(source: Register, target: FileEngine, end: Mark, handed: Handed, progress: Progress | None) -> int:
    """Put in the lines, told or sealed, with where their chains end; how many are told."""
    target.put_rows(
        "migration", ("number", "name", "applied"), source.rows("SELECT number, name, applied FROM migration")
    )
    target.put_rows("register_meta", ("key", "value"), [("origin", source.origin)])
    ends = SeenLines(source.rows).seen_by(end)
    kept, told, done, whole = _kept_numbers(source, ends), 0, 0, sum(ends.values())
    for chain, last in sorted(ends.items()):
        own = _numbers(handed.lines.get(chain, ())) | ({end.line} if chain == end.chain else set())
        lines = _with_sealed(
            source.stream(f"{SELECT} WHERE origin = ? AND sequence <= ? ORDER BY sequence", (chain, last)),
            own,
            kept.get(chain, frozenset()),
        )
        final: Line = ()
        while part := list(islice(lines, _AT_ONCE)):
            target.put_rows("journal", COLUMNS, part)
            told += sum(line[_ENTITY] != SEALED for line in part)
            final = part[-1]
            tell(progress, min(done + int(final[_SEQUENCE]), whole), whole, _STOPPED)
        done += last
        target.put_rows("register_meta", ("key", "value"), [(HEAD + chain, f"{final[_SEQUENCE]} {final[_HASH]}")])
    return told


def _with_sealed(lines: Iterator[Line], own: Collection[int], kept: Collection[int]) -> Iterator[Line]:
    """The lines that go along; of what stands between them the last of each run, and those to keep, by hash alone."""
    waiting: Line | None = None
    for line in lines:
        if line[_SEQUENCE] in own:
            if waiting is not None:
                yield _sealed(waiting)
            waiting = None
            yield line
        elif line[_SEQUENCE] in kept or line[_ENTITY] == SEALED:
            waiting = None
            yield _sealed(line)
        else:
            waiting = line
    if waiting is not None:
        yield _sealed(waiting)


def _sealed(line: Line) -> Line:
    return (
        line[_ORIGIN], line[_SEQUENCE], "", "", "", SEALED, "", None, None, "", line[_PREVIOUS], line[_HASH],
    )  # fmt: skip


def _kept_numbers(source: Register, ends: Mapping[str, int]) -> dict[str, set[int]]:
    """Lines whose hash is named: ends that were seen, hand-overs and what they covered, issues, where branches leave."""
    branches = Branches(source.rows)
    kept: dict[str, set[int]] = {chain: set() for chain in {*ends, *heads(source.rows)}}
    for (cell,) in source.rows('SELECT "after" FROM journal WHERE entity = ?', (SEEN,)):
        for origin, end in read_seen(cell).items():
            mark = branches.meant(origin, end)
            kept.setdefault(mark.chain, set()).add(mark.line)
    for chain, line, cell in source.rows('SELECT origin, sequence, "after" FROM journal WHERE entity = ?', (HANDED,)):
        kept[chain].add(line)
        handed = read_handed(cell)
        for other, ranges in handed.lines.items() if handed else ():
            kept.setdefault(other, set()).update(_numbers(ranges))
    for chain, line in source.rows(
        "SELECT j.origin, j.sequence FROM issued_document d JOIN journal j ON j.sequence = d.position AND j.hash = d.head"
    ):
        kept.setdefault(chain, set()).add(line)
    for branch in branches.names:
        stem = branches.stem(branch)
        if stem is not None:
            kept.setdefault(stem.chain, set()).add(stem.line)
        ((first,),) = source.rows("SELECT min(sequence) FROM journal WHERE origin = ?", (branch,))
        kept[branch].add(first)
    return kept


def _numbers(ranges: Collection[tuple[int, int]]) -> set[int]:
    return {number for first, last in ranges for number in range(first, last + 1)}


def _note_what_it_is(draft: Path, site: Uid) -> None:
    """From here on the file opens to be read only."""
    with sentences(draft), closing(connected(draft, "mode=rw")) as connection:
        note = json.dumps({"form": FORM, "site": site}, sort_keys=True)
        connection.execute("INSERT INTO register_meta (key, value) VALUES (?, ?)", (HANDED_NOTE, note))
    stand_alone(draft)


__all__ = ["HAND_OVER", "HandedFile", "Settle", "awake", "note_hand_over", "write_handed_file"]
