"""Changes to the register: records put and removed, each with its line in the journal, all or nothing."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from functools import partial
from itertools import islice
from typing import TYPE_CHECKING, Any, Final

from appreg.clock import Clock
from appreg.core.records.kept_records import Record
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.register.engine.dialect import derived_cells
from appreg.register.journal.bulk_writing import put_batch
from appreg.register.journal.change_lines import ChangeLines, differences, noted_update
from appreg.register.journal.doubles import ONCE, refuse_double
from appreg.register.journal.journal_chain import MERGED, Chain, take_up
from appreg.register.journal.sealed_lines import HANDED, LEFT
from appreg.register.journal.uid_source import Entropy, UidSource
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import Kind, kind_of

if TYPE_CHECKING:
    from appreg.register.engine.engine import Engine

_BATCH: Final = 2000
_TAKEN_BACK: Final = frozenset({"inspection", "finding"})
"""Kinds whose records a later one makes count for nothing."""


class Writer:
    """Opens changes on a register's connection, one after the other."""

    def __init__(self, engine: "Engine", origin: Uid | None, clock: Clock, entropy: Entropy) -> None:
        self._engine = engine
        self.origin = origin
        """The chain that is written; None: one that begins with the next change."""
        self._clock = clock
        self._entropy = entropy

    @contextmanager
    def transaction(
        self, who: str, reason: str, beforehand: Callable[["Engine"], None] | None = None
    ) -> "Iterator[Change]":
        """A change whose records are saved together, durably, or not at all; `beforehand` puts in lines of other chains."""
        with self._engine.sentences(), self._engine.transaction():
            if beforehand is not None:
                beforehand(self._engine)
            elif reason == MERGED:
                reason = f"“{reason}”"  # typed by a person: as lines of a merge these would count for no decision
            chain = take_up(self._engine.rows, self.origin or "", self._clock)
            chain.begin()
            # Keys start at the journal's time, so that they follow its order even where a clock was set back.
            uids = UidSource(partial(getattr, chain, "milliseconds"), self._entropy)
            chain.origin = chain.origin or uids.new_uid()
            yield Change(self._engine, chain, uids.new_uid, who=who, reason=reason)
            if chain.written:
                _remember(self._engine, *chain.head)
        if chain.written:
            self.origin = Uid(chain.origin)


def _remember(engine: "Engine", key: str, value: str) -> None:
    database = engine.database
    from appreg.register.schema.tables import remember  # noqa: PLC0415 - once the engine has loaded peewee its own way

    remember(database, key, value)


class Change:
    """One change by one person: everything put or removed through it is saved together."""

    def __init__(self, engine: "Engine", chain: Chain, new_uid: Callable[[], Uid], *, who: str, reason: str) -> None:
        self._engine = engine
        self.new_uid = new_uid
        self.uid = new_uid()
        self._lines = ChangeLines(engine, chain, self.uid, who=who, reason=reason)
        if chain.unseen:
            self._lines.seen_change = new_uid()

    @property
    def lines(self) -> int:
        """Lines noted in the journal so far."""
        return self._lines.written

    def note_kept(self, record: Record, field: str) -> None:
        """Note that a field is to stay as it is: a line of the journal that changes nothing."""
        kind: Kind[Any] = kind_of(type(record))
        cells = dict(zip(kind.codec.names, kind.codec.encode(record), strict=True))
        same = {field: cells[field]}
        uid, was, became = noted_update(str(record.uid), same, same)
        self._lines.note(kind, uid, before=was, after=became)

    def note_row(self, kind: Kind[Any], uid: str, row: str) -> None:
        """Note that a row was put in again; only for the modules of this room."""
        self._lines.note(kind, uid, before=None, after=row)

    def note_whole(self, kind: Kind[Any], uid: str, row: str) -> None:
        """Note all that a row holds, which changes nothing of it; only for the modules of this room."""
        self._lines.note(kind, uid, before=row, after=row)

    def note_handed(self, site: str, cell: str) -> None:
        """Note which lines were handed over for a site; only for the modules of this room."""
        self._lines.note_aside(HANDED, site, cell)

    def note_left(self, item: str, cell: str) -> None:
        """Note that an item is no longer at a site that is handed over; only for the modules of this room."""
        self._lines.note_aside(LEFT, item, cell)

    def note_seen(self) -> None:
        """Note what the other chains hold, where this one has not; only for the modules of this room."""
        self._lines.note_seen()

    def put(self, record: Record, *, noted: bool = False) -> None:
        """Insert a record, or update the one of that key; nothing is noted when nothing differs.

        `noted` writes a line for a kind that has none of its own.
        """
        kind: Kind[Any] = kind_of(type(record))
        row = kind.codec.encode(record)
        with self._lines.attempt(together=True):
            current = self._current(kind, record.uid)
            if current is None:
                self._insert(kind, row, noted=noted)
            elif current != row:
                self._update(kind, current, row, noted=noted)

    def put_many(self, records: Iterable[Record], *, progress: Callable[[int], None] | None = None) -> int:
        """Put any number of records at the speed of bulk loading; return how many were taken."""
        waiting = iter(records)
        count = 0
        while batch := list(islice(waiting, _BATCH)):
            with self._lines.attempt():
                put_batch(self._lines, batch)
            count += len(batch)
            if progress is not None:
                progress(count)
        return count

    def remove(self, record: Record, *, noted: bool = False) -> None:
        """Take a record out; raises InputRefused for inspections and where other records belong to it.

        `noted` writes a line for a kind that has none of its own.
        """
        kind: Kind[Any] = kind_of(type(record))
        if kind.append_only:
            instead = "take the inspection back or correct it" if kind.table in _TAKEN_BACK else "it stays as it was"
            raise InputRefused(f"What was kept as {kind.caption} is never removed; {instead}.")
        with self._lines.attempt(together=True):
            current = self._current(kind, record.uid)
            if current is None:
                raise NotFound(f"The {kind.caption} {record.uid} is not in the register; it was removed before.")
            model = self._model(kind)
            model.delete().where(model.uid == record.uid).execute(self._engine.database)
            if noted or kind.journalled:
                self._lines.note(kind, record.uid, before=kind.codec.canonical(current), after=None)

    def clear(self, record: type[Record], **equals: str) -> None:
        """Take out the records whose fields hold that, whether they can be read or not, of a kind that has no lines."""
        kind: Kind[Any] = kind_of(record)
        if kind.journalled:
            raise TypeError(f"{record.__name__} is told by the journal")
        model = self._model(kind)
        query = model.delete()
        for name, value in equals.items():
            query = query.where(getattr(model, name) == value)
        with self._engine.sentences():
            query.execute(self._engine.database)

    def _current(self, kind: Kind[Any], uid: Uid) -> tuple[Cell, ...] | None:
        row: tuple[Cell, ...] | None = self._lines.execute(
            f'SELECT {kind.columns} FROM "{kind.table}" WHERE uid = ?', (uid,)
        ).fetchone()
        return row

    def _insert(self, kind: Kind[Any], row: tuple[Cell, ...], *, noted: bool) -> None:
        cells = dict(zip(kind.codec.names, row, strict=True))
        cells |= self._derived(kind, cells, cells)
        database = self._engine.database
        from appreg.register.schema.tables import insertion  # noqa: PLC0415 - once the engine has loaded peewee its own way

        insertion(database, self._model(kind), tuple(cells)).run(database, cells)
        if kind.table in ONCE:
            refuse_double(self._lines, kind.table, cells)
        if noted or kind.journalled:
            self._lines.note(kind, str(row[0]), before=None, after=kind.codec.canonical(row))

    def _update(self, kind: Kind[Any], current: tuple[Cell, ...], row: tuple[Cell, ...], *, noted: bool) -> None:
        if kind.append_only:
            raise InputRefused(f"An {kind.caption} is never changed; record a correction that supersedes it.")
        before, after = differences(kind, current, row)
        cells = after | self._derived(kind, dict(zip(kind.codec.names, row, strict=True)), after)
        database = self._engine.database
        from appreg.register.schema.tables import alteration  # noqa: PLC0415 - once the engine has loaded peewee its own way

        altering = alteration(database, self._model(kind), tuple(cells))
        altering.run(database, {**cells, "uid": str(row[0])})
        if not after.keys().isdisjoint(ONCE.get(kind.table, ())):
            refuse_double(self._lines, kind.table, dict(zip(kind.codec.names, row, strict=True)))
        uid, was, became = noted_update(str(row[0]), before, after)
        if noted or kind.journalled:
            self._lines.note(kind, uid, before=was, after=became)

    def _model(self, kind: Kind[Any]) -> Any:
        _ = self._engine.database
        from appreg.register.schema.tables import model_of  # noqa: PLC0415 - once the engine has loaded peewee its own way

        return model_of(kind, self._engine.dialect)

    def _derived(self, kind: Kind[Any], row: dict[str, Cell], changed: dict[str, Cell]) -> dict[str, str]:
        dialect = self._engine.dialect
        return derived_cells(dialect, kind.table, row, changed) if kind.table in dialect.derived else {}
