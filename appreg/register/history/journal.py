"""The journal read back: who changed what and when, and what is new in it."""

import json
from collections.abc import Mapping
from typing import Any, TypeVar

from msgspec import Struct

from appreg.core.records.kept_records import Record
from appreg.core.values.uids import Uid
from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.register.journal.journal_chain import SELECT, line_of
from appreg.register.journal.journal_ends import heads
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import KINDS_BY_TABLE, kind_of

R = TypeVar("R", bound=Record)

Row = dict[str, Cell]
"""Columns of a row by name, without its key."""


class JournalEntry(Struct, frozen=True, kw_only=True):
    """One line of the journal: one row put in, altered or taken out."""

    origin: Uid
    sequence: int
    time: str
    """Hybrid logical time, UTC; it sorts as text."""
    who: str
    reason: str
    entity: str
    """The table."""
    uid: str
    before: Row | None
    """The fields that changed, as they were; None: the row was new."""
    after: Row | None
    """The fields that changed, as they became; None: the row was removed."""
    change: Uid
    """Groups the lines of one transaction."""
    previous_hash: str
    hash: str


def history_of(register: Register, uid: Uid) -> list[JournalEntry]:
    """All that happened to one record, oldest first."""
    kinds = ", ".join(f"'{table}'" for table in KINDS_BY_TABLE)
    rows = register.rows(f"{SELECT} WHERE entity IN ({kinds}) AND uid = ? ORDER BY time, sequence", (uid,))
    return [read_entry(row) for row in rows]


def entries_of(register: Register, change: Uid) -> list[JournalEntry]:
    """The lines of one change, in the order in which they were written."""
    origin, sequence = (register.dialect.unindexed(each) for each in ("origin", "sequence"))
    rows = register.rows(f'{SELECT} WHERE "change" = ? ORDER BY {origin}, {sequence}', (change,))
    return [read_entry(row) for row in rows]


def authors_of(register: Register) -> list[str]:
    """Everybody whom the journal names, the program itself among them, the one who wrote last at the end."""
    return [
        who
        for (who, _) in register.rows(
            "SELECT who, max(time) AS latest FROM journal WHERE who <> '' GROUP BY who ORDER BY latest"
        )
    ]


def values_ever(register: Register, kind: type[Record], field: str) -> set[Cell]:
    """Every value that a field of a kind of record has had, of records that are gone too."""
    lines = register.rows('SELECT uid, "before", "after" FROM journal WHERE entity = ?', (kind_of(kind).table,))
    rows = (read_cells(kind_of(kind).table, uid, cell) for uid, *cells in lines for cell in cells if cell is not None)
    return {row[field] for row in rows if field in row}


def read_cells(entity: str, uid: str, cell: str) -> Row:
    """The fields that a cell of the journal holds; raises RegisterUnusable where it cannot be read."""
    try:
        row = json.loads(cell)
    except ValueError:
        row = None
    if not isinstance(row, dict):
        raise RegisterUnusable(f"The journal's line for {entity} {uid} cannot be read; {PUT_BACK}.")
    return row


def read_entry(row: tuple[Any, ...]) -> JournalEntry:
    """A row of the journal as an entry."""
    origin, sequence, time, who, reason, entity, uid, before, after, change, previous_hash, own_hash = row
    return JournalEntry(
        origin=Uid(origin),
        sequence=sequence,
        time=time,
        who=who,
        reason=reason,
        entity=entity,
        uid=uid,
        before=None if before is None else read_cells(entity, uid, before),
        after=None if after is None else read_cells(entity, uid, after),
        change=Uid(change),
        previous_hash=previous_hash,
        hash=own_hash,
    )


End = Mapping[str, int]
"""Of each chain of a journal the number of its last line: another chain may grow by lines of smaller numbers, in a merge."""


def journal_end(register: Register) -> End:
    """Where the journal ends now."""
    ends = heads(register.rows)
    if len(ends) > 1:
        return {chain: line_of(str(end)) for chain, end in ends.items()}
    rows = register.rows("SELECT coalesce(max(sequence), 0) FROM journal WHERE origin = ?", (register.origin,))
    return {register.origin: rows[0][0]}


def changes_since(register: Register, end: End, kind: type[Record]) -> list[JournalEntry]:
    """What was put into the journal of records of a kind after it ended there, by its time, oldest first."""
    rows = [
        row
        for origin in {register.origin, *heads(register.rows)}
        for row in register.rows(
            f"{SELECT} WHERE origin = ? AND sequence > ? AND entity = ? ORDER BY sequence",
            (origin, end.get(origin, 0), kind_of(kind).table),
        )
    ]
    return sorted(map(read_entry, rows), key=lambda entry: entry.time)


def last_change_of(register: Register, uid: Uid, field: str) -> JournalEntry | None:
    """The line that last put a value into a field of a record."""
    entries = [each for each in history_of(register, uid) if each.after is not None and field in each.after]
    return entries[-1] if entries else None


def later_changes_of(register: Register, entry: JournalEntry, field: str) -> list[JournalEntry]:
    """The lines of later changes that put a value into a field of the same record, the oldest first."""
    return [
        each
        for each in history_of(register, Uid(entry.uid))
        if each.time > entry.time and each.change != entry.change and field in (each.after or {})
    ]
