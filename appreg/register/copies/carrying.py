"""A register carried into another place of whichever kind: every row as it is, its journal among them."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from appreg.errors import RegisterUnusable
from appreg.files import BESIDE, placed
from appreg.progress import Progress, tell
from appreg.register.engine.dialect import derived_cells
from appreg.register.engine.file_engine import FileEngine
from appreg.register.engine.file_opening import connected, open_file
from appreg.register.engine.places import Place, ServerPlace
from appreg.register.engine.register_errors import sentences
from appreg.register.journal.journal_chain import COLUMNS
from appreg.register.journal.journal_ends import JournalEnd, journal_end
from appreg.register.opening.migrations import lay_tables
from appreg.register.opening.register_file import Register
from appreg.register.schema.file_marks import APPLICATION_ID, NEWEST
from appreg.register.schema.record_kinds import KINDS

if TYPE_CHECKING:
    from appreg.register.engine.engine import Engine
    from appreg.register.engine.server_engine import ServerEngine

_AT_ONCE: Final = 5000
_ITEMS: Final = "appliance"
_BOOKS: Final = (
    ("register_meta", ("key", "value"), "key"),
    ("migration", ("number", "name", "applied"), "number"),
    ("journal", COLUMNS, "origin, sequence"),
)
_OWN: Final = 0o600


def carry(register: Register, place: Place, progress: Progress | None = None) -> JournalEnd:
    """Copy a whole register, as it is at one moment, to where nothing is yet; where its journal ends.

    Raises InputRefused where anything is there, Stopped where progress answers False, RegisterUnusable where it
    cannot be done.
    """
    with register.reopen() as source:
        if isinstance(place, ServerPlace):
            return _onto_server(source, place, progress)
        with placed(place, mode=_OWN) as draft:
            return carry_into(source, draft, progress)


def carry_into(source: Register, draft: Path, progress: Progress | None = None) -> JournalEnd:
    """The same into a draft, an empty file, which stands alone in the end."""
    with sentences(draft):
        connection = connected(draft, "mode=rw")
        try:
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {NEWEST}")
        finally:
            connection.close()
        target = FileEngine(draft, open_file(draft))
        try:
            # With each inspection SQLite would look through all items for those that wait for it; the check looks later.
            target.rows("PRAGMA foreign_keys = OFF")
            with target.transaction():
                lay_tables(target.rows)
                end = _carried(source, target, progress)
            target.tune()
            target.rows("PRAGMA journal_mode = DELETE")
        finally:
            target.close()
    left = [name for each in BESIDE if (name := draft.name + each) and draft.with_name(name).exists()]
    if left:
        raise RegisterUnusable(f"The copy {draft} was not closed ({', '.join(left)} is left); try again.")
    return end


def _onto_server(source: Register, place: ServerPlace, progress: Progress | None) -> JournalEnd:
    from appreg.register.opening.server_opening import laid_out  # noqa: PLC0415 - files need no driver

    with laid_out(place) as target:
        end = _carried(source, target, progress)
        _let_seats_go_on(target)
        return end


def _let_seats_go_on(target: "ServerEngine") -> None:
    target.rows(
        f"SELECT setval(pg_get_serial_sequence('{_ITEMS}', 'ordinal'), max(ordinal)) FROM {_ITEMS} HAVING count(*) > 0"
    )


def _carried(source: Register, target: "Engine", progress: Progress | None) -> JournalEnd:
    with _one_state(source):
        tables = list(_tables())
        whole = sum(source.rows(f'SELECT count(*) FROM "{table}"')[0][0] for table, *_ in tables)
        done = 0
        for table, columns, order in tables:
            listed = ", ".join(f'"{name}"' for name in columns)
            rows = source.stream(f'SELECT {listed} FROM "{table}" ORDER BY {order}')
            beside = tuple(target.dialect.derived.get(table, ()))
            while part := list(islice(rows, _AT_ONCE)):
                target.put_rows(
                    table, (*columns, *beside), [_with_derived(target, table, columns, row) for row in part]
                )
                done += len(part)
                tell(progress, done, whole, "Stopped; nothing was copied, and the register is as it was.")
        return journal_end(source.rows)


def _tables() -> Iterator[tuple[str, Sequence[str], str]]:
    """Each table with its columns and its order: what is referred to comes first, as far as it can."""
    for kind in KINDS.values():
        items = kind.table == _ITEMS
        yield kind.table, ("ordinal", *kind.codec.names) if items else kind.codec.names, "ordinal" if items else "uid"
    yield from _BOOKS


def _with_derived(target: "Engine", table: str, columns: Sequence[str], row: tuple[Any, ...]) -> tuple[Any, ...]:
    if table not in target.dialect.derived:
        return row
    cells = dict(zip(columns, row, strict=True))
    return (*row, *derived_cells(target.dialect, table, cells, cells).values())


@contextmanager
def _one_state(source: Register) -> Iterator[None]:
    """Read as everything stands now, whatever others write."""
    source.engine.hold()
    try:
        yield
    finally:
        with suppress(RegisterUnusable):
            source.engine.release()
