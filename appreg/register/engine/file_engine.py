"""A register in a file of SQLite's: read from whatever stands there, written to only while that is the file that was opened."""

import sqlite3
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import cached_property
from importlib import import_module
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from appreg.core.values.text import shown
from appreg.errors import RegisterUnusable
from appreg.register.engine.dialect import SEARCHED, SQLITE, inserted
from appreg.register.engine.file_opening import OpenedFile, open_file
from appreg.register.engine.register_errors import sentences

if TYPE_CHECKING:
    from contextlib import AbstractContextManager

    from appreg.register.engine.engine import Ask, Dialect, Parameters

_ITEMS: Final = "appliance"
_TOGETHER: Final = 500
"""From so many rows on, one statement takes them all."""
_SET_TOGETHER: Final = 20
"""From so many on, one sets them all."""
_WIDE: Final = frozenset({_ITEMS, "inspection", "finding"})
"""Tables of so many columns and indexes that one statement for all rows is twice as quick as one for each."""
_INDEXING: Final = "appliance_text_insert"
"""The trigger that fills it row by row."""
_WORDS: Final = ", ".join(SEARCHED)
_LOOKED_AT: Final = 1000
"""Rows of each index that are looked at."""
_LONGEST_LOG: Final = 8000
"""Pages of the log from which a change carries them into the file itself, should nobody else have; SQLite's usual is 1000."""
_NO_TEXT: Final = "Could not decode to UTF-8"
"""How the driver says that a text holds other bytes."""
_MARK: Final = "\ufffd"
_QUOTED: Final = 40
_TURNS: Final = 5
"""Times that a register which others write to is opened anew before one reading is given up."""


def sqlite_version() -> str:
    """The version of SQLite that this Python carries."""
    return sqlite3.sqlite_version


def asking(connection: sqlite3.Connection) -> "Ask":
    """Ask a connection that belongs to no register."""
    return lambda statement, parameters: connection.execute(statement, parameters).fetchall()


@contextmanager
def in_one_go(connection: sqlite3.Connection) -> Iterator[None]:
    """Commit what the block does to the register when it ends, and undo it when it fails."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        # A full disk may have undone it already; a second complaint must not hide the first.
        if connection.in_transaction:
            with suppress(sqlite3.Error):
                connection.execute("ROLLBACK")
        raise


class FileEngine:
    """The connection to a file, opened by file_opening."""

    dialect: "Dialect" = SQLITE

    def __init__(self, path: Path, opened: OpenedFile, *, copied: bool = False) -> None:
        self.path = path
        self._copied = copied
        self.note: Callable[[str, str], None] = lambda _key, _sentence: None
        self._opened = opened
        self._still = _still_of(path) if opened.still else ()
        self._held = False
        """Everything is read as it stood at one moment."""
        self._seen: object = None
        """How the file stood when it was last asked about."""

    @property
    def name(self) -> str:
        """The file's name."""
        return self.path.name

    @property
    def place(self) -> str:
        """The path."""
        return str(self.path)

    @property
    def read_only(self) -> str:
        """Why nothing can be saved into it, in a few words; empty where it can."""
        return self._opened.read_only

    @property
    def raw(self) -> sqlite3.Connection:
        """SQLite's connection."""
        return self._opened.connection

    @cached_property
    def database(self) -> Any:
        """Peewee on the connection that is read through."""
        return peewee_on_file(self.path, self.raw)

    def sentences(self) -> "AbstractContextManager[None]":
        """Name the file in what is said."""
        return sentences(self.path)

    def settle(self) -> None:
        """Note what SQLite has beside the file now that it was read; raises RegisterUnusable where another stands there."""
        if not self._opened.read_only:
            self._opened.standing.note_beside()
        if fault := self.look():
            raise RegisterUnusable(f"{fault[:-1]}; open it again.")

    def look(self) -> str:
        """One sentence where the file at the path is no longer the one that was opened, else empty."""
        return self._opened.standing.look()

    def rows(self, statement: str, parameters: "Parameters" = ()) -> list[tuple[Any, ...]]:
        """The rows of a query; where a text holds bytes that are none, with a mark in their place."""
        try:
            if self._opened.still:
                return self._rows_of_one_state(statement, parameters)
            return self.raw.execute(statement, parameters).fetchall()
        except (sqlite3.Error, MemoryError, UnicodeDecodeError) as error:
            with self.sentences():
                if isinstance(error, sqlite3.OperationalError) and _NO_TEXT in str(error):
                    return self._rows_replaced(statement, parameters)
                raise

    def stream(self, statement: str, parameters: "Parameters" = ()) -> Iterator[tuple[Any, ...]]:
        """The rows of a query, one at a time."""
        with self.sentences():
            if self._opened.still:
                yield from self._rows_of_one_state(statement, parameters)
            else:
                # Left before its end, `yield from` would close the cursor, which SQLite refuses once the file is closed.
                yield from islice(self.raw.execute(statement, parameters), None)

    def put_rows(self, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
        """Insert them; where there are many, all in one statement, and the search index is filled afterwards."""
        if len(rows) < _TOGETHER or table not in _WIDE:
            self.raw.executemany(inserted(table, columns), rows)
            return
        from appreg.register.engine.file_many_rows import put_together  # noqa: PLC0415 - few write so many

        if table != _ITEMS:
            put_together(self.raw, table, columns, rows)
            return
        (trigger,) = self.raw.execute("SELECT sql FROM sqlite_master WHERE name = ?", (_INDEXING,)).fetchone()
        (last,) = self.raw.execute(f"SELECT coalesce(max(ordinal), 0) FROM {_ITEMS}").fetchone()
        self.raw.execute(f"DROP TRIGGER {_INDEXING}")
        put_together(self.raw, table, columns, rows)
        self.raw.execute(
            f"INSERT INTO appliance_text (rowid, {_WORDS}) SELECT ordinal, {_WORDS} FROM {_ITEMS} WHERE ordinal > ?",
            (last,),
        )
        self.raw.execute(trigger)

    def set_rows(self, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
        """Set them, many in one statement."""
        if len(rows) < _SET_TOGETHER:
            told = ", ".join(f'"{name}" = ?' for name in columns)
            self.raw.executemany(f'UPDATE "{table}" SET {told} WHERE uid = ?', rows)
            return
        from appreg.register.engine.file_many_rows import set_together  # noqa: PLC0415 - few write so many

        set_together(self.raw, table, columns, rows)

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Save durably and in the file at the path, or not at all."""
        self._refuse_moved("nothing was saved")
        with in_one_go(self.raw):
            yield
            self._refuse_moved("nothing was saved")
        # Between looking and saving there is a moment, too.
        self._refuse_moved("what was just entered may not be in it")

    def _refuse_moved(self, result: str) -> None:
        if fault := self.look():
            raise RegisterUnusable(
                f"{fault[:-1]}, and {result}; put it back, or leave and open anew what is there now."
            )

    def hold(self) -> None:
        """Begin to read."""
        self.rows("BEGIN")
        self._held = True

    def release(self) -> None:
        """End reading."""
        self._held = False
        with self.sentences():
            self.raw.execute("ROLLBACK")

    @contextmanager
    def attempt(self, *, together: bool = False) -> Iterator[None]:  # noqa: ARG002 - nothing is sent anywhere
        """What is refused within leaves the change around it as it was."""
        with self.sentences():
            if self._held or not self.raw.in_transaction:
                yield
                return
            self.raw.execute("SAVEPOINT attempt")
            try:
                yield
                self.raw.execute("RELEASE attempt")
            except BaseException:
                # A full disk may have undone the whole change already.
                if self.raw.in_transaction:
                    with suppress(sqlite3.Error):
                        self.raw.execute("ROLLBACK TO attempt")
                        self.raw.execute("RELEASE attempt")
                raise

    @contextmanager
    def unguarded(self, table: str) -> Iterator[None]:
        """The triggers are made again as they were; where the block fails they never went."""
        guards = self.raw.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ? AND name GLOB ?",
            (table, f"{table}_no_*"),
        ).fetchall()
        for name, _ in guards:
            self.raw.execute(f"DROP TRIGGER {name}")
        yield
        for _, words in guards:
            self.raw.execute(words)

    def refer_later(self) -> None:
        """SQLite counts what is named and missing."""
        self.raw.execute("PRAGMA defer_foreign_keys = ON")

    def others_saved(self) -> bool:
        """SQLite counts what other connections save."""
        seen, self._seen = self._seen, self._standing_now()
        return seen is not None and self._seen is not None and seen != self._seen

    def _standing_now(self) -> object:
        try:
            if self._opened.still:
                return _still_of(self.path)
            return self.raw.execute("PRAGMA data_version").fetchone()[0]
        except (sqlite3.Error, RegisterUnusable):
            return None

    def tune(self) -> None:
        """Let SQLite look at the data again; where it cannot, all stays as it is."""
        with suppress(sqlite3.DatabaseError):
            self.raw.execute(f"PRAGMA analysis_limit = {_LOOKED_AT}")
            self.raw.execute("ANALYZE")

    def leave_log(self) -> None:
        """Let changes add to SQLite's log alone, and leave it to write_back() to carry them into the file."""
        if not self.read_only:
            with self.sentences():
                self.raw.execute(f"PRAGMA wal_autocheckpoint = {_LONGEST_LOG}")

    def write_back(self) -> None:
        """Carry what was saved from the log into the file, as far as nobody reads what stood before; saving goes on meanwhile."""
        if not self.read_only:
            with suppress(sqlite3.DatabaseError):
                self.raw.execute("PRAGMA wal_checkpoint(PASSIVE)")

    def again(self) -> "FileEngine":
        """Open it once more."""
        return FileEngine(self.path, open_file(self.path))

    def copied(self) -> "FileEngine":
        """A private copy, in which nothing that is written lasts."""
        return FileEngine(self.path, open_file(self.path, copied=True), copied=True)

    def close(self) -> None:
        """Close the connection and remove a private copy."""
        self._opened.close()

    def _rows_replaced(self, statement: str, parameters: "Parameters") -> list[tuple[Any, ...]]:
        """Read once more with a mark in place of each byte that is no text, so that the other rows can be read."""
        self.raw.text_factory = _text_or_marks
        try:
            rows = self.raw.execute(statement, parameters).fetchall()
        finally:
            self.raw.text_factory = str
        marked = next((cell for row in rows for cell in row if isinstance(cell, str) and _MARK in cell), "")
        self.note(
            "text", f"“{shown(marked)[:_QUOTED]}” in the register holds bytes that are no text; run `appreg verify`."
        )
        return rows

    def _rows_of_one_state(self, statement: str, parameters: "Parameters") -> list[tuple[Any, ...]]:
        """Read what others may write to meanwhile: anew from the file whenever somebody did."""
        if self._held and self._opened.copy is not None:
            return self.raw.execute(statement, parameters).fetchall()  # nobody else writes to that
        for _ in range(_TURNS):
            if self._still == _still_of(self.path):
                try:
                    rows = self.raw.execute(statement, parameters).fetchall()
                except sqlite3.DatabaseError:
                    # Half of one state and half of another reads like damage.
                    if self._still == _still_of(self.path):
                        raise
                else:
                    if self._still == _still_of(self.path):
                        return rows
            if self._held:
                break
            self._open_anew()
        raise RegisterUnusable(f"The register {self.path} is being written by another program; try again in a moment.")

    def _open_anew(self) -> None:
        still = _still_of(self.path)
        opened = open_file(self.path, copied=self._copied)
        opened.connection.text_factory = self.raw.text_factory
        self._opened.close()
        self._opened, self._still = opened, still

    @property
    def opened(self) -> OpenedFile:
        """The file as it was opened."""
        return self._opened


def _text_or_marks(content: bytes) -> str:
    return content.decode(errors="replace")


def _still_of(path: Path) -> tuple[tuple[int, ...], ...]:
    from appreg.register.engine.read_only_copy import still_of  # noqa: PLC0415 - only where a register may not be written to

    try:
        return still_of(path)
    except OSError as error:
        raise RegisterUnusable(f"The register {path} can no longer be reached ({error.strerror}).") from error


def peewee_on_file(path: Path, connection: sqlite3.Connection) -> Any:
    """Peewee on the connection to a register's file."""
    load_alone("peewee")
    from appreg.register.schema.tables import file_database  # noqa: PLC0415 - a query must not wait for peewee

    return file_database(path, connection)


def load_alone(module: str) -> None:
    """Load peewee or a part of it for a file: another database's driver, which it takes in, would take far longer."""
    if module in sys.modules or "psycopg" in sys.modules:
        return
    sys.modules["psycopg"] = None  # type: ignore[assignment]
    try:
        import_module(module)
    finally:
        del sys.modules["psycopg"]
