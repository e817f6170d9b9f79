"""Records put by the thousand: runs of like statements, each run in one go with its lines in the journal."""

from collections.abc import Sequence
from itertools import compress
from operator import ne
from typing import TYPE_CHECKING, Any

from appreg.core.records.kept_records import Record
from appreg.errors import InputRefused
from appreg.register.engine.dialect import derived_cells, evened
from appreg.register.journal.change_lines import ChangeLines
from appreg.register.journal.doubles import ONCE, refuse_doubles
from appreg.register.journal.journal_chain import Noted
from appreg.register.schema.alike_rows import AlikeRows
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import Kind, kind_of

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect

_Rows = dict[tuple[str, str], tuple[Cell, ...]]
"""Rows by table and key."""


class _Run:
    """Rows of one kind that wait to be written together, with what the journal says of them in their order."""

    def __init__(self, lines: ChangeLines) -> None:
        self._lines = lines
        self._kind: Kind[Any] | None = None
        self._new: list[tuple[Cell, ...]] = []
        self._set: dict[tuple[str, ...], list[tuple[Cell, ...]]] = {}
        """By the columns that are set: their cells, and the key behind them."""
        self._keys: set[str] = set()
        """Of the rows that are set."""
        self._noted: list[Noted] = []

    def insert(self, kind: Kind[Any], row: tuple[Cell, ...], noted: Noted) -> None:
        """Take one more row, which is new."""
        if kind is not self._kind or self._set:
            self._turn_to(kind)
        self._new.append(row)
        self._noted.append(noted)

    def set(self, kind: Kind[Any], columns: tuple[str, ...], cells: tuple[Cell, ...], noted: Noted) -> None:
        """Take one more row that is there, or waits to be: some of its columns are set."""
        key = noted[0]
        if kind is not self._kind or key in self._keys:
            self._turn_to(kind)
        self._keys.add(key)
        self._set.setdefault(columns, []).append((*cells, key))
        self._noted.append(noted)

    def _turn_to(self, kind: Kind[Any]) -> None:
        self.flush()
        self._kind = kind

    def flush(self) -> None:
        """Write what waits: what is new came first, for what is set may name it."""
        if self._kind is None or not self._noted:
            return
        engine, table = self._lines.engine, self._kind.table
        if self._new:
            engine.put_rows(table, (*self._kind.codec.names, *engine.dialect.derived.get(table, {})), self._new)
        for columns, rows in self._set.items():
            engine.set_rows(table, columns, rows)
        if self._kind.journalled:
            self._lines.note_many(self._kind, self._noted)
        self._new, self._noted = [], []
        self._set.clear()
        self._keys.clear()


def put_batch(lines: ChangeLines, batch: Sequence[Record]) -> None:
    """Insert or update a batch of records, in their order."""
    current = _current_rows(lines, batch)
    run = _Run(lines)
    forms: dict[type[Record], _Form] = {}
    for record in batch:
        form = forms.get(type(record)) or forms.setdefault(type(record), _Form(type(record), lines.engine.dialect))
        kind = form.kind
        row = form.rows.encode(record)
        place = (kind.table, str(record.uid))
        known = current.get(place)
        current[place] = row
        if known is None:
            form.note_once(row)
            run.insert(kind, (*row, *form.beside(row)), (record.uid, None, form.rows.canonical()))
        elif known != row:
            if kind.append_only:
                raise InputRefused(f"An {kind.caption} is never changed; record a correction that supersedes it.")
            run.set(kind, *form.difference(known, row))
    run.flush()
    for form in forms.values():
        if form.once:
            refuse_doubles(lines, form.kind.table, form.once)


class _Difference:
    """Which columns of a kind differ between two rows, and what follows from that; once for all rows that differ alike."""

    def __init__(self, kind: Kind[Any], places: tuple[int, ...], dialect: "Dialect") -> None:
        self.places = places
        self.columns = tuple(kind.codec.names[place] for place in places)
        self.said = kind.codec.said_of(places)
        self.is_once = not set(self.columns).isdisjoint(ONCE.get(kind.table, ()))
        self.is_derived = any(
            not set(self.columns).isdisjoint(each.fields) for each in dialect.derived.get(kind.table, {}).values()
        )


class _Form:
    """How records of one kind are written, and what of those written is to be given once."""

    def __init__(self, record: type[Record], dialect: "Dialect") -> None:
        self.kind: Kind[Any] = kind_of(record)
        self.rows = AlikeRows(self.kind.codec)
        self._dialect = dialect
        self._differences: dict[tuple[int, ...], _Difference] = {}
        names = self.kind.codec.names
        self._places = range(len(names))
        self._derived = tuple(
            (each.work_out, tuple(map(names.index, each.fields)))
            for each in dialect.derived.get(self.kind.table, {}).values()
        )
        self._once = tuple(names.index(name) for name in ONCE.get(self.kind.table, ()))
        self.once: list[tuple[Cell, ...]] = []
        """The cells that are to be given to one record, of all that have been noted."""

    def note_once(self, row: tuple[Cell, ...]) -> None:
        """Note what a row that is written has of what is given once."""
        if self._once:
            self.once.append(tuple([row[place] for place in self._once]))

    def beside(self, row: tuple[Cell, ...]) -> list[str]:
        """What is kept beside the fields of a new row."""
        return [work_out(*[row[place] for place in places]) for work_out, places in self._derived]

    def difference(
        self, known: tuple[Cell, ...], row: tuple[Cell, ...]
    ) -> tuple[tuple[str, ...], tuple[Cell, ...], Noted]:
        """The columns in which two rows of a key differ, the cells they are set to, and what the journal says of it."""
        places = tuple(compress(self._places, map(ne, known, row)))
        found = self._differences.get(places)
        if found is None:
            found = self._differences[places] = _Difference(self.kind, places, self._dialect)
        if found.is_once:
            self.note_once(row)
        columns, cells = found.columns, tuple([row[place] for place in places])
        if found.is_derived:
            every = dict(zip(self.kind.codec.names, row, strict=True))
            beside = derived_cells(self._dialect, self.kind.table, every, columns)
            columns, cells = (*columns, *beside), (*cells, *beside.values())
        codec = self.kind.codec
        return columns, cells, (str(row[0]), codec.canonical(known, found.said), codec.canonical(row, found.said))


def _current_rows(lines: ChangeLines, batch: Sequence[Record]) -> _Rows:
    found: _Rows = {}
    for record_type in {type(record) for record in batch}:
        kind: Kind[Any] = kind_of(record_type)
        uids = [record.uid for record in batch if type(record) is record_type]
        test, parameters = lines.engine.dialect.among("uid", evened(uids))
        rows = lines.execute(f'SELECT {kind.columns} FROM "{kind.table}" WHERE {test}', parameters)
        found.update({(kind.table, row[0]): row for row in rows})
    return found
