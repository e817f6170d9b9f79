"""Records put by the thousand: runs of like statements, each run in one go with its lines in the journal."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from appreg.core.records.kept_records import Record
from appreg.errors import InputRefused
from appreg.register.engine.dialect import derived_cells
from appreg.register.journal.change_lines import ChangeLines, differences, noted_update
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
            self._lines.engine.run_many(f'UPDATE "{self._kind.table}" SET {setting} WHERE uid = ?', self._rows)
        else:
            kept = (*self._kind.codec.names, *self._lines.engine.dialect.derived.get(self._kind.table, {}))
            self._lines.engine.put_rows(self._kind.table, kept, self._rows)
        if self._kind.journalled:
            self._lines.note_many(self._kind, self._noted)
        self._rows, self._noted = [], []


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
            run.add(kind, (), (*row, *form.beside(row)), (record.uid, None, form.rows.canonical()))
        elif known != row:
            if kind.append_only:
                raise InputRefused(f"An {kind.caption} is never changed; record a correction that supersedes it.")
            before, after = differences(kind, known, row)
            if not after.keys().isdisjoint(ONCE.get(kind.table, ())):
                form.note_once(row)
            cells = dict(zip(kind.codec.names, row, strict=True))
            put = {**after, **derived_cells(lines.engine.dialect, kind.table, cells, after)}
            run.add(kind, tuple(put), (*put.values(), record.uid), noted_update(record.uid, before, after))
    run.flush()
    for form in forms.values():
        if form.once:
            refuse_doubles(lines, form.kind.table, form.once)


class _Form:
    """How records of one kind are written, and what of those written is to be given once."""

    def __init__(self, record: type[Record], dialect: "Dialect") -> None:
        self.kind: Kind[Any] = kind_of(record)
        self.rows = AlikeRows(self.kind.codec)
        names = self.kind.codec.names
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


def _current_rows(lines: ChangeLines, batch: Sequence[Record]) -> _Rows:
    found: _Rows = {}
    for record_type in {type(record) for record in batch}:
        kind: Kind[Any] = kind_of(record_type)
        uids = [record.uid for record in batch if type(record) is record_type]
        test, parameters = lines.engine.dialect.among("uid", uids)
        rows = lines.execute(f'SELECT {kind.columns} FROM "{kind.table}" WHERE {test}', parameters)
        found.update({(kind.table, row[0]): row for row in rows})
    return found
