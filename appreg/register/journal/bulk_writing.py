"""Records put by the thousand: runs of like statements, each run in one go with its lines in the journal."""

from collections.abc import Sequence
from typing import Any

from appreg.core.records.kept_records import Record
from appreg.errors import InputRefused
from appreg.register.engine.dialect import derived_cells
from appreg.register.journal.change_lines import ChangeLines, Noted, differences, noted_update
from appreg.register.journal.doubles import ONCE, refuse_doubles
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import Kind, kind_of

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
        else:
            kept = (*self._kind.codec.names, *self._lines.engine.dialect.derived.get(self._kind.table, {}))
            self._lines.engine.put_rows(self._kind.table, kept, self._rows)
        if self._kind.journalled:
            self._lines.note_many(self._kind, self._noted)
        self._rows, self._noted = [], []


def put_batch(lines: ChangeLines, batch: Sequence[Record]) -> None:
    """Insert or update a batch of records, in their order."""
    current = _current_rows(lines, batch)
    run, dialect = _Run(lines), lines.engine.dialect
    watched = {*dialect.derived, *ONCE}
    given: dict[str, list[dict[str, Cell]]] = {}
    for record in batch:
        kind: Kind[Any] = kind_of(type(record))
        row = kind.codec.encode(record)
        place = (kind.table, str(record.uid))
        known = current.get(place)
        current[place] = row
        if known is None:
            kept = row
            if kind.table in watched:
                cells = dict(zip(kind.codec.names, row, strict=True))
                kept = (*row, *derived_cells(dialect, kind.table, cells, cells).values())
                if kind.table in ONCE:
                    given.setdefault(kind.table, []).append(cells)
            run.add(kind, (), kept, (record.uid, None, kind.codec.canonical(row)))
        elif known != row:
            if kind.append_only:
                raise InputRefused(f"An {kind.caption} is never changed; record a correction that supersedes it.")
            before, after = differences(kind, known, row)
            cells = dict(zip(kind.codec.names, row, strict=True))
            if not after.keys().isdisjoint(ONCE.get(kind.table, ())):
                given.setdefault(kind.table, []).append(cells)
            put = {**after, **derived_cells(dialect, kind.table, cells, after)}
            run.add(kind, tuple(put), (*put.values(), record.uid), noted_update(record.uid, before, after))
    run.flush()
    for table, rows in given.items():
        refuse_doubles(lines, table, rows)


def _current_rows(lines: ChangeLines, batch: Sequence[Record]) -> _Rows:
    found: _Rows = {}
    for record_type in {type(record) for record in batch}:
        kind: Kind[Any] = kind_of(record_type)
        uids = [record.uid for record in batch if type(record) is record_type]
        test, parameters = lines.engine.dialect.among("uid", uids)
        rows = lines.execute(f'SELECT {kind.columns} FROM "{kind.table}" WHERE {test}', parameters)
        found.update({(kind.table, row[0]): row for row in rows})
    return found
