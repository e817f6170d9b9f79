"""Two registers become one: the lines of the other journal are put in, and each record is what all lines together tell."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

from appreg.core.values.uids import Uid
from appreg.progress import Progress, tell
from appreg.register.copies.other_lines import OtherLines
from appreg.register.engine.dialect import derived_cells
from appreg.register.history.journal import Row, read_cells
from appreg.register.history.told_record import ToldLine, ToldRecord, told_of
from appreg.register.journal.changes import Change
from appreg.register.journal.journal_chain import MERGED
from appreg.register.journal.journal_ends import heads
from appreg.register.journal.seen_lines import Mark, SeenLines
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE, Kind
from appreg.register.schema.references import REFERENCES

if TYPE_CHECKING:
    from appreg.register.engine.engine import Engine

_AT_ONCE: Final = 500
_STOPPED: Final = "Stopped; nothing was taken in, and the register is as it was."
Key = tuple[str, str]
"""Table and key of a record."""


class Union:
    """What came in, and what became of the records; the change it is made in is still open."""

    def __init__(self, register: Register, lines: OtherLines, change: Change) -> None:
        self.register = register
        self.lines = lines
        self.change = change
        self.altered: dict[str, int] = {}
        """How many records of a table hold something else now."""
        self.gone: dict[str, int] = {}
        """How many were taken out."""
        self.came_back: list[Key] = []
        """Removed in one place, and changed or needed in another."""


@contextmanager
def uniting(
    register: Register, who: str, other: Register, chains: Collection[str], progress: Progress | None = None
) -> Iterator[Union]:
    """Take in all that those chains of another register have more, in one change that is saved where the block ends.

    The other's journal is to have been found sound. Raises Stopped where progress answers False.
    """
    lines = OtherLines(register, other, chains, progress)

    def put(engine: "Engine") -> None:
        lines.put(engine)

    with register.change_after(put, who, MERGED) as change:
        register.engine.refer_later()
        union = Union(register, lines, change)
        if lines.count:
            _Records(union, progress).put()
        yield union
        if not _one_end_has_seen_all(register):
            change.note_seen()


def _one_end_has_seen_all(register: Register) -> bool:
    """Tell whether the line where some chain ends was written by somebody who could see the ends of all others."""
    ends = {chain: int(str(end).partition(" ")[0]) for chain, end in heads(register.rows).items()}
    seen = SeenLines(register.rows)
    return any(
        all(seen.seen_by(Mark(chain, line)).get(other, 0) >= end for other, end in ends.items())
        for chain, line in ends.items()
    )


class _Records:
    """Puts the records right of which lines came in."""

    def __init__(self, union: Union, progress: Progress | None) -> None:
        self._union = union
        self._register = union.register
        self._engine = union.register.engine
        self._progress = progress
        self._seen = SeenLines(self._register.rows)
        self._named: dict[str, set[str]] = {}
        """Records that others name now, by table."""
        self._gone: list[tuple[str, str, Row, Row]] = []

    def put(self) -> None:
        """All of them: what is named by others comes before or with them, what is gone goes last."""
        touched = self._union.lines.touched
        self._put_steps(touched.get("migration", ()))
        tables = [table for table in JOURNALLED if table in touched]
        done, whole = 0, sum(len(touched[table]) for table in tables)
        for table in tables:
            for part in _parts(touched[table]):
                self._put_part(KINDS_BY_TABLE[table], part)
                done += len(part)
                tell(self._progress, done, whole, _STOPPED)
        self._bring_back_named()
        self._take_out()

    def _put_steps(self, numbers: Iterable[str]) -> None:
        """Two places may have brought their tables up to date at different times."""
        kind: Kind[Any] = KINDS_BY_TABLE["site"]
        for number in numbers:
            record = ToldRecord(self._seen, {})
            for origin, sequence, time, who, after in self._register.rows(
                "SELECT origin, sequence, time, who, \"after\" FROM journal WHERE entity = 'migration' AND uid = ? "
                "ORDER BY time, origin, sequence",
                (number,),
            ):
                line = ToldLine(Mark(origin, sequence), time, who, None, read_cells(kind.table, number, after))
                record.add(line)
            row = record.last_row
            with self._engine.unguarded("migration"):
                self._engine.rows(
                    "UPDATE migration SET name = ?, applied = ? WHERE number = ?",
                    (row["name"], row["applied"], int(number)),
                )

    def _put_part(self, kind: Kind[Any], uids: Sequence[str]) -> None:
        test, parameters = self._register.dialect.among("uid", uids)
        stored = self._register.rows(f'SELECT {kind.columns} FROM "{kind.table}" WHERE {test}', parameters)
        present = {str(row[0]): dict(zip(kind.codec.names, row, strict=True)) for row in stored}
        added: list[Row] = []
        for uid, record in told_of(self._register, self._seen, kind, uids):
            if record.came_back:
                self._union.came_back.append((kind.table, uid))
            row, now = record.last_row, present.get(uid)
            cells = {name: row.get(name) for name in kind.codec.names} | {"uid": uid}
            if not record.exists:
                if now is not None:
                    self._gone.append((kind.table, uid, now, cells))
                continue
            if now is None:
                added.append(cells)
            elif now != cells:
                self._alter(kind, now, cells)
            self._name(kind.table, cells)
        self._add(kind, added)

    def _name(self, table: str, cells: Mapping[str, Cell]) -> None:
        for column, other in REFERENCES.get(table, {}).items():
            if (uid := cells.get(column)) is not None:
                self._named.setdefault(other, set()).add(str(uid))

    def _add(self, kind: Kind[Any], rows: Sequence[Row]) -> None:
        beside = tuple(self._register.dialect.derived.get(kind.table, ()))
        put = [
            (*cells.values(), *derived_cells(self._register.dialect, kind.table, cells, cells).values())
            for cells in rows
        ]
        self._engine.put_rows(kind.table, (*kind.codec.names, *beside), put)

    def _alter(self, kind: Kind[Any], now: Row, cells: Row) -> None:
        changed = {name: cell for name, cell in cells.items() if now[name] != cell}
        changed |= derived_cells(self._register.dialect, kind.table, cells, changed)
        setting = ", ".join(f'"{name}" = ?' for name in changed)
        self._engine.rows(f'UPDATE "{kind.table}" SET {setting} WHERE uid = ?', [*changed.values(), cells["uid"]])
        self._union.altered[kind.table] = self._union.altered.get(kind.table, 0) + 1

    def _bring_back_named(self) -> None:
        """Put in again what was removed in one place while something new came to belong to it in another."""
        for table in reversed(JOURNALLED):
            kind = KINDS_BY_TABLE[table]
            for part in _parts(self._named.get(table, ())):
                test, parameters = self._register.dialect.among("uid", part)
                there = {uid for (uid,) in self._register.rows(f'SELECT uid FROM "{table}" WHERE {test}', parameters)}
                missing = [uid for uid in part if uid not in there]
                for uid, record in told_of(self._register, self._seen, kind, missing) if missing else ():
                    self._bring_back(kind, uid, record)

    def _bring_back(self, kind: Kind[Any], uid: str, record: ToldRecord) -> None:
        row = record.last_row
        cells = {name: row.get(name) for name in kind.codec.names} | {"uid": uid}
        self._add(kind, [cells])
        self._note_back(kind, uid, cells)
        self._name(kind.table, cells)

    def _note_back(self, kind: Kind[Any], uid: str, cells: Row) -> None:
        self._union.change.note_row(kind, uid, kind.codec.canonical(tuple(cells[name] for name in kind.codec.names)))
        self._union.came_back.append((kind.table, uid))

    def _take_out(self) -> None:
        """Last what others may belong to; what something still belongs to stays, and that is noted."""
        places = {table: place for place, table in enumerate(JOURNALLED)}
        for table, uid, now, cells in sorted(self._gone, key=lambda each: (-places[each[0]], each[1])):
            if self._is_named(table, uid):
                if now != cells:
                    self._alter(KINDS_BY_TABLE[table], now, cells)
                self._note_back(KINDS_BY_TABLE[table], uid, cells)
                continue
            self._engine.rows(f'DELETE FROM "{table}" WHERE uid = ?', (uid,))
            self._union.gone[table] = self._union.gone.get(table, 0) + 1

    def _is_named(self, table: str, uid: str) -> bool:
        return any(
            self._register.rows(f'SELECT 1 FROM "{own}" WHERE "{column}" = ? LIMIT 1', (uid,))
            for own, columns in REFERENCES.items()
            for column, other in columns.items()
            if other == table
        )


def _parts(uids: Iterable[str]) -> Iterator[Sequence[str]]:
    listed = sorted(uids)
    return (listed[at : at + _AT_ONCE] for at in range(0, len(listed), _AT_ONCE))


def keys_of(pairs: Iterable[Key], table: str) -> tuple[Uid, ...]:
    """The keys of one table among many."""
    return tuple(Uid(uid) for own, uid in pairs if own == table)
