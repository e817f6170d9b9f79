"""All rows of a register as it stands at one moment, told table by table; and a new file of a register filled with such rows."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.errors import InputRefused, RegisterUnusable
from appreg.progress import Progress, tell
from appreg.register.engine.file_engine import FileEngine
from appreg.register.journal.journal_chain import COLUMNS
from appreg.register.journal.journal_ends import JournalEnd, journal_end
from appreg.register.opening.register_file import Register
from appreg.register.opening.row_carrying import CarriedTable, laid_file, tables_in, todays_tables, with_derived
from appreg.register.schema.file_marks import NEWEST

if TYPE_CHECKING:
    from appreg.register.engine.engine import Engine

_AT_ONCE: Final = 5000
OLDEST: Final = 16
"""The first step whose tables were told row by row."""

Row = tuple[str | int | None, ...]
BOOK_COLUMNS: Final[Mapping[str, Mapping[str, object]]] = {
    "register_meta": dict.fromkeys(("key", "value"), str),
    "migration": {"number": int, "name": str, "applied": str},
    "journal": dict.fromkeys(COLUMNS, str) | {"sequence": int, "before": str | None, "after": str | None},
}
"""What stands in the columns of the tables beside the records."""
BESIDE_FIELDS: Final[Mapping[str, Mapping[str, object]]] = {"appliance": {"ordinal": int}}
"""The same of columns that are no field of a record."""


class TableRows(Struct, frozen=True, kw_only=True):
    """A table with the columns that are told of it, and how many rows it has."""

    name: str
    columns: tuple[str, ...]
    count: int


class HeldRows:
    """A register as it stands at one moment."""

    def __init__(self, engine: "Engine") -> None:
        """Count; the engine is held by whoever made this."""
        self._engine = engine
        self._carried = {each.name: each for each in todays_tables(engine)}
        self.end: JournalEnd = journal_end(engine.rows)
        self.steps: int = NEWEST
        """The step that its tables are of."""
        self.tables = tuple(self._counted(each) for each in self._carried.values())

    def rows(self, table: TableRows) -> Iterator[Row]:
        """The rows of a table, one at a time."""
        return self._engine.stream(self._carried[table.name].query)

    def _counted(self, table: CarriedTable) -> TableRows:
        ((count,),) = self._engine.rows(f'SELECT count(*) FROM "{table.name}"')
        return TableRows(name=table.name, columns=tuple(table.columns), count=count)


@contextmanager
def held_rows(register: Register) -> Iterator[HeldRows]:
    """Everything in a register, as it stands when the block begins, whatever others write."""
    with register.reopen() as source:
        source.engine.hold()
        try:
            yield HeldRows(source.engine)
        finally:
            with suppress(RegisterUnusable):
                source.engine.release()


def fill_file(
    draft: Path,
    steps: int,
    tables: Sequence[TableRows],
    rows_of: Callable[[TableRows], Iterator[Row]],
    progress: Progress | None = None,
) -> None:
    """Fill an empty file with the tables of a step, and with rows, read in the order of `tables`; it stands alone then.

    Raises InputRefused where they are not the tables of that step or refuse a row, Stopped where progress answers False.
    """
    with laid_file(draft, steps) as target:
        _refuse_other_tables(target, steps, tables)
        whole, done = sum(table.count for table in tables), 0
        for table in tables:
            rows = rows_of(table)
            put = CarriedTable(table.name, table.columns, "", tuple(target.dialect.derived.get(table.name, ())))
            while part := list(islice(rows, _AT_ONCE)):
                _put(target, put, part)
                done += len(part)
                tell(progress, done, whole, "Stopped; no register was made.")


def _refuse_other_tables(target: FileEngine, steps: int, tables: Sequence[TableRows]) -> None:
    derived = target.dialect.derived
    laid = {each.name: {*each.columns} - {*derived.get(each.name, ())} for each in tables_in(target)}
    told = {table.name: {*table.columns} for table in tables}
    for name in sorted(laid.keys() | told.keys()):
        if laid.get(name) != told.get(name):
            raise InputRefused(f"the columns of {name} are not those that registers have after step {steps}")


def _put(target: FileEngine, table: CarriedTable, rows: list[Row]) -> None:
    put = [with_derived(target, table, row) for row in rows] if table.worked_out else rows
    try:
        with target.sentences():
            target.put_rows(table.name, (*table.columns, *table.worked_out), put)
    except InputRefused as problem:
        raise InputRefused(f"a row of {table.name} is one that no register holds ({problem})") from problem
