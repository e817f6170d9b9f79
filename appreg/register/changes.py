"""Changes to the register: records put and removed, each with its line in the journal, all or nothing."""

import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any, Final

import peewee
from peewee import SqliteDatabase

from appreg.clock import Clock
from appreg.core.records import Appliance, Record
from appreg.core.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.register.journal_chain import INSERT, Chain, take_up
from appreg.register.record_codec import Cell, canonical
from appreg.register.record_kinds import Kind, kind_of
from appreg.register.register_errors import damaged, refused, sentences, unusable
from appreg.register.tables import MODELS

_BATCH: Final = 2000
_INDEX_AFTERWARDS: Final = 1000
"""From so many new appliances on, the search index is filled once at the end of the batch."""
_INSERT_TRIGGER: Final = "appliance_text_insert"


class AdoptedDatabase(SqliteDatabase):
    """peewee's door to the connection that a register reads through."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        super().__init__(str(path), lock_type="IMMEDIATE", autoconnect=False)
        self._adopted = connection
        self.connect()

    def _connect(self) -> sqlite3.Connection:
        return self._adopted


@contextmanager
def _sentences(path: Path) -> Iterator[None]:
    with sentences(path):
        try:
            yield
        except peewee.IntegrityError as error:
            raise refused(str(error)) from error
        except peewee.OperationalError as error:
            raise unusable(path, str(error)) from error
        except peewee.DatabaseError as error:
            raise damaged(path, str(error)) from error


class Writer:
    """Opens changes on a register's connection, one after the other."""

    def __init__(
        self, path: Path, connection: sqlite3.Connection, origin: Uid, clock: Clock, new_uid: Callable[[], Uid]
    ) -> None:
        self._path = path
        self._connection = connection
        self._database: Any = AdoptedDatabase(path, connection)
        self._origin = origin
        self._clock = clock
        self._new_uid = new_uid

    @contextmanager
    def transaction(self, who: str, reason: str) -> "Iterator[Change]":
        """A change whose records are saved together, durably, or not at all."""
        with _sentences(self._path), self._database.atomic("IMMEDIATE"):
            chain = take_up(self._connection, self._origin, self._clock)
            chain.begin()
            yield Change(self._path, self._database, chain, self._new_uid, who=who, reason=reason)
            if chain.written:
                self._connection.execute(
                    "INSERT INTO register_meta (key, value) VALUES (?, ?) "
                    "ON CONFLICT (key) DO UPDATE SET value = excluded.value",
                    chain.head,
                )


class Change:
    """One change by one person: everything put or removed through it is saved together."""

    def __init__(
        self, path: Path, database: Any, chain: Chain, new_uid: Callable[[], Uid], *, who: str, reason: str
    ) -> None:
        self._path = path
        self._database = database
        self._chain = chain
        self._who = who
        self._reason = reason
        self.new_uid = new_uid
        self.uid = new_uid()

    @property
    def lines(self) -> int:
        """Lines noted in the journal so far."""
        return self._chain.written

    def put(self, record: Record) -> None:
        """Insert a record, or update the one of that key; nothing is noted when nothing differs."""
        kind = kind_of(type(record))
        row = kind.codec.encode(record)
        with _sentences(self._path):
            current = self._current(kind, record.uid)
            if current is None:
                self._insert(kind, row)
            elif current != row:
                self._update(kind, current, row)

    def put_many(self, records: Iterable[Record], *, progress: Callable[[int], None] | None = None) -> int:
        """Put any number of records at the speed of bulk loading; return how many were taken."""
        waiting = iter(records)
        count = 0
        while batch := list(islice(waiting, _BATCH)):
            with _sentences(self._path):
                self._put_batch(batch)
            count += len(batch)
            if progress is not None:
                progress(count)
        return count

    def remove(self, record: Record) -> None:
        """Take a record out; raises InputRefused for inspections and where other records belong to it."""
        kind = kind_of(type(record))
        if kind.append_only:
            raise InputRefused(f"An {kind.caption} is never removed; take the inspection back or correct it.")
        with _sentences(self._path):
            current = self._current(kind, record.uid)
            if current is None:
                raise NotFound(f"The {kind.caption} {record.uid} is not in the register; it was removed before.")
            model: Any = MODELS[kind.table]
            model.delete().where(model.uid == record.uid).execute(self._database)
            self._note(kind, record.uid, before=kind.codec.canonical(current), after=None)

    def _current(self, kind: Kind[Any], uid: Uid) -> tuple[Cell, ...] | None:
        row: tuple[Cell, ...] | None = self._execute(
            f'SELECT {kind.columns} FROM "{kind.table}" WHERE uid = ?', (uid,)
        ).fetchone()
        return row

    def _insert(self, kind: Kind[Any], row: tuple[Cell, ...]) -> None:
        model: Any = MODELS[kind.table]
        model.insert(dict(zip(kind.codec.names, row, strict=True))).execute(self._database)
        self._note(kind, str(row[0]), before=None, after=kind.codec.canonical(row))

    def _update(self, kind: Kind[Any], current: tuple[Cell, ...], row: tuple[Cell, ...]) -> None:
        if kind.append_only:
            raise InputRefused(f"An {kind.caption} is never changed; record a correction that supersedes it.")
        names = kind.codec.names
        changed = [place for place, cell in enumerate(row) if cell != current[place]]
        before = {names[place]: current[place] for place in changed}
        after = {names[place]: row[place] for place in changed}
        model: Any = MODELS[kind.table]
        model.update(after).where(model.uid == row[0]).execute(self._database)
        self._note(kind, str(row[0]), before=canonical(before), after=canonical(after))

    def _note(self, kind: Kind[Any], uid: str, *, before: str | None, after: str | None) -> None:
        self._execute(INSERT, self._tied(kind, uid, before, after))

    def _tied(self, kind: Kind[Any], uid: str, before: str | None, after: str | None) -> tuple[Cell, ...]:
        return self._chain.tie(
            who=self._who,
            reason=self._reason,
            change=self.uid,
            entity=kind.table,
            uid=uid,
            before=before,
            after=after,
        )

    def _put_batch(self, batch: list[Record]) -> None:
        known = self._known(batch)
        run: list[Record] = []
        seen: set[Uid] = set()
        for record in batch:
            if record.uid in known or record.uid in seen:
                self._insert_run(run)
                run = []
                self.put(record)
            else:
                if run and type(run[0]) is not type(record):
                    self._insert_run(run)
                    run = []
                run.append(record)
                seen.add(record.uid)
        self._insert_run(run)

    def _known(self, batch: list[Record]) -> set[str]:
        known: set[str] = set()
        for record_type in {type(record) for record in batch}:
            uids = [record.uid for record in batch if type(record) is record_type]
            marks = ", ".join("?" * len(uids))
            rows = self._execute(f'SELECT uid FROM "{kind_of(record_type).table}" WHERE uid IN ({marks})', uids)
            known.update(uid for (uid,) in rows)
        return known

    def _insert_run(self, run: list[Record]) -> None:
        if not run:
            return
        kind = kind_of(type(run[0]))
        rows = [kind.codec.encode(record) for record in run]
        cursor = self._database.cursor()
        if kind.record is Appliance and len(rows) >= _INDEX_AFTERWARDS:
            self._insert_indexing_afterwards(cursor, kind, rows)
        else:
            cursor.executemany(kind.insert, rows)
        cursor.executemany(INSERT, (self._tied(kind, str(row[0]), None, kind.codec.canonical(row)) for row in rows))

    def _insert_indexing_afterwards(self, cursor: Any, kind: Kind[Any], rows: list[tuple[Cell, ...]]) -> None:
        (trigger,) = self._execute("SELECT sql FROM sqlite_master WHERE name = ?", (_INSERT_TRIGGER,)).fetchone()
        (last,) = self._execute("SELECT coalesce(max(ordinal), 0) FROM appliance").fetchone()
        self._execute(f"DROP TRIGGER {_INSERT_TRIGGER}")
        cursor.executemany(kind.insert, rows)
        words = "tag, name, make, model, serial"
        self._execute(
            f"INSERT INTO appliance_text (rowid, {words}) SELECT ordinal, {words} FROM appliance WHERE ordinal > ?",
            (last,),
        )
        self._execute(trigger)

    def _execute(self, statement: str, parameters: Iterable[Cell] = ()) -> Any:
        return self._database.execute_sql(statement, parameters)
