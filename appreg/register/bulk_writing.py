"""Records put by the thousand: runs of like statements, each run in one go with its lines in the journal."""

from collections.abc import Sequence
from typing import Any, Final

from appreg.core.records import Appliance, Record
from appreg.errors import InputRefused
from appreg.register.change_lines import ChangeLines, Noted, differences, noted_update
from appreg.register.record_codec import Cell
from appreg.register.record_kinds import Kind, kind_of

_INDEX_AFTERWARDS: Final = 1000
"""From so many new appliances on, the search index is filled once at the end of the run."""
_INSERT_TRIGGER: Final = "appliance_text_insert"
_WORDS: Final = "tag, name, make, model, serial"

_Rows = dict[tuple[str, str], tuple[Cell, ...]]
"""Rows by table and key."""


class _Run:
    """Statements of one form that wait to be run together."""

    def __init__(self, lines: ChangeLines) -> None:
        self._lines = lines
        self._kind: Kind[Any] | None = None
        self._columns: tuple[str, ...] = ()
        self._rows: list[tuple[Cell, ...]] = []
        self._noted: list[Noted] = []

    def add(self, kind: Kind[Any], columns: tuple[str, ...], row: tuple[Cell, ...], noted: Noted) -> None:
        """Take one more row: to be inserted where no columns are named, else to be set by key."""
        if (kind, columns) != (self._kind, self._columns):
            self.flush()
            self._kind, self._columns = kind, columns
        self._rows.append(row)
        self._noted.append(noted)

    def flush(self) -> None:
        """Run what waits."""
        if self._kind is None or not self._rows:
            return
        if self._columns:
            setting = ", ".join(f'"{name}" = ?' for name in self._columns)
            self._lines.execute_many(f'UPDATE "{self._kind.table}" SET {setting} WHERE uid = ?', self._rows)
        elif self._kind.record is Appliance and len(self._rows) >= _INDEX_AFTERWARDS:
            _insert_indexing_afterwards(self._lines, self._kind, self._rows)
        else:
            self._lines.execute_many(self._kind.insert, self._rows)
        if self._kind.journalled:
            self._lines.note_many(self._kind, self._noted)
        self._rows, self._noted = [], []


def put_batch(lines: ChangeLines, batch: Sequence[Record]) -> None:
    """Insert or update a batch of records, in their order."""
    current = _current_rows(lines, batch)
    run = _Run(lines)
    for record in batch:
        kind: Kind[Any] = kind_of(type(record))
        row = kind.codec.encode(record)
        place = (kind.table, str(record.uid))
        known = current.get(place)
        current[place] = row
        if known is None:
            run.add(kind, (), kind.row(row), (record.uid, None, kind.codec.canonical(row)))
        elif known != row:
            if kind.append_only:
                raise InputRefused(f"An {kind.caption} is never changed; record a correction that supersedes it.")
            before, after = differences(kind, known, row)
            put = kind.with_derived(after)
            run.add(kind, tuple(put), (*put.values(), record.uid), noted_update(record.uid, before, after))
    run.flush()


def _current_rows(lines: ChangeLines, batch: Sequence[Record]) -> _Rows:
    found: _Rows = {}
    for record_type in {type(record) for record in batch}:
        kind: Kind[Any] = kind_of(record_type)
        uids = [record.uid for record in batch if type(record) is record_type]
        marks = ", ".join("?" * len(uids))
        rows = lines.execute(f'SELECT {kind.columns} FROM "{kind.table}" WHERE uid IN ({marks})', uids)
        found.update({(kind.table, row[0]): row for row in rows})
    return found


def _insert_indexing_afterwards(lines: ChangeLines, kind: Kind[Any], rows: list[tuple[Cell, ...]]) -> None:
    (trigger,) = lines.execute("SELECT sql FROM sqlite_master WHERE name = ?", (_INSERT_TRIGGER,)).fetchone()
    (last,) = lines.execute("SELECT coalesce(max(ordinal), 0) FROM appliance").fetchone()
    lines.execute(f"DROP TRIGGER {_INSERT_TRIGGER}")
    lines.execute_many(kind.insert, rows)
    lines.execute(
        f"INSERT INTO appliance_text (rowid, {_WORDS}) SELECT ordinal, {_WORDS} FROM appliance WHERE ordinal > ?",
        (last,),
    )
    lines.execute(trigger)
