"""Every row of a register carried as it is from one connection to another, and a file made for it to be carried into."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from appreg.progress import Progress, tell
from appreg.register.engine.dialect import derived_cells
from appreg.register.engine.file_engine import FileEngine
from appreg.register.engine.file_opening import connected, open_file
from appreg.register.engine.register_errors import sentences
from appreg.register.journal.journal_chain import COLUMNS
from appreg.register.journal.journal_ends import JournalEnd, journal_end
from appreg.register.opening.copying import stand_alone
from appreg.register.opening.migrations import Maker, lay_tables
from appreg.register.schema.file_marks import APPLICATION_ID, NEWEST
from appreg.register.schema.record_kinds import KINDS

if TYPE_CHECKING:
    from appreg.register.engine.engine import Engine

_AT_ONCE: Final = 5000
_ITEMS: Final = "appliance"
_SEARCHED: Final = "appliance_text*"
"""The search index, which fills itself."""
_TABLES: Final = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT GLOB ? AND name NOT GLOB 'sqlite_*'"


class CarriedTable(NamedTuple):
    """A table, what of it is carried, and in which order."""

    name: str
    columns: Sequence[str]
    order: str
    worked_out: Sequence[str] = ()
    """Columns that are not carried, as they follow from others."""

    @property
    def query(self) -> str:
        """Gives its rows."""
        listed = ", ".join(f'"{name}"' for name in self.columns)
        return f'SELECT {listed} FROM "{self.name}" ORDER BY {self.order}'


_BOOKS: Final = (
    CarriedTable("register_meta", ("key", "value"), "key"),
    CarriedTable("migration", ("number", "name", "applied"), "number"),
    CarriedTable("journal", COLUMNS, "origin, sequence"),
)


def todays_tables(target: "Engine") -> Iterator[CarriedTable]:
    """Today's tables: what is referred to comes first, as far as it can."""
    for kind in KINDS.values():
        names, worked_out = kind.codec.names, tuple(target.dialect.derived.get(kind.table, ()))
        if kind.table == _ITEMS:
            yield CarriedTable(kind.table, ("ordinal", *names), "ordinal", worked_out)
        else:
            yield CarriedTable(kind.table, names, "uid", worked_out)
    yield from _BOOKS


def tables_in(file: FileEngine) -> Iterator[CarriedTable]:
    """The tables that a file has, of whichever version; all of their columns are carried."""
    for (name,) in file.rows(_TABLES, (_SEARCHED,)):
        columns = file.rows("SELECT name, pk FROM pragma_table_info(?)", (name,))
        key = sorted((place, column) for column, place in columns if place)
        yield CarriedTable(name, [column for column, _ in columns], ", ".join(f'"{column}"' for _, column in key))


def carry_rows(
    source: "Engine", target: "Engine", tables: Sequence[CarriedTable], progress: Progress | None = None
) -> JournalEnd:
    """Carry them, columns worked out from others among them; where the journal ends.

    The source is to be held by the caller. Raises Stopped where progress answers False.
    """
    whole = sum(source.rows(f'SELECT count(*) FROM "{table.name}"')[0][0] for table in tables)
    done = 0
    for table in tables:
        rows = source.stream(table.query)
        while part := list(islice(rows, _AT_ONCE)):
            put = [with_derived(target, table, row) for row in part] if table.worked_out else part
            target.put_rows(table.name, (*table.columns, *table.worked_out), put)
            done += len(part)
            tell(progress, done, whole, "Stopped; nothing was copied, and the register is as it was.")
    return journal_end(source.rows)


def with_derived(target: "Engine", table: CarriedTable, row: tuple[Any, ...]) -> tuple[Any, ...]:
    """A row with the columns that follow from others."""
    cells = dict(zip(table.columns, row, strict=True))
    return (*row, *derived_cells(target.dialect, table.name, cells, cells).values())


@contextmanager
def laid_file(draft: Path, newest: int = 0) -> Iterator[FileEngine]:
    """A draft, an empty file, with today's tables, or those after an older step; it stands alone in the end."""
    newest = newest or NEWEST
    with sentences(draft):
        connection = connected(draft, "mode=rw")
        try:
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {newest}")
        finally:
            connection.close()
        target = FileEngine(draft, open_file(draft))
        try:
            # With each inspection SQLite would look through all items for those that wait for it; the check looks later.
            target.rows("PRAGMA foreign_keys = OFF")
            with target.transaction():
                lay_tables(Maker(target.rows, lambda: target.database), newest)
                yield target
            target.tune()
        finally:
            target.close()
    stand_alone(draft)
