"""The register's file: opened, migrated, read record by record, and changed in whole transactions."""

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final, Self, TypeVar

from appreg.clock import Clock, system_clock
from appreg.core.records import Record
from appreg.core.uids import Uid
from appreg.errors import NotFound, RegisterUnusable
from appreg.register.damage_ledger import DamageLedger
from appreg.register.file_marks import is_current
from appreg.register.record_kinds import kind_of
from appreg.register.register_errors import sentences
from appreg.register.uid_source import Entropy, UidSource, random_bits

if TYPE_CHECKING:
    from appreg.register.changes import Change, Writer

R = TypeVar("R", bound=Record)

_OLDEST_SQLITE: Final = (3, 37, 0)
_MANY: Final = 5000
"""From so many journal lines in one change on, SQLite looks at the data again at once."""
_SOME: Final = 200
"""From so many on, it does so when the register is closed."""
_LOOKED_AT: Final = 1000
"""Rows of each index that are looked at."""
_WAIT_SECONDS: Final = 5
_NO_TEXT: Final = "Could not decode to UTF-8"
"""How the driver says that a text holds other bytes."""
_PRAGMAS: Final = (
    "PRAGMA foreign_keys = ON",
    "PRAGMA synchronous = FULL",
    "PRAGMA recursive_triggers = ON",
    "PRAGMA cache_size = -8000",
)


class Register:
    """An open register; used by the thread that opened it, while others take their own by reopen()."""

    def __init__(self, path: Path, connection: sqlite3.Connection, clock: Clock, entropy: Entropy) -> None:
        self.path = path
        self.connection = connection
        self._clock = clock
        self._entropy = entropy
        self._uids = UidSource(clock, entropy)
        self._writer: Writer | None = None
        self._change: Change | None = None
        self._written = 0
        self._open = True
        self.damage = DamageLedger()
        """What could not be read so far, where reading went on."""
        self.origin = self._read_origin()

    def new_uid(self) -> Uid:
        """A key that no other register will make."""
        return self._uids.new_uid()

    def get(self, kind: type[R], uid: Uid) -> R:
        """The record of a kind with that key; raises NotFound."""
        found = self.find(kind, uid=uid)
        if not found:
            raise NotFound(f"The register has no {kind_of(kind).caption} with the key {uid}; look it up by its name.")
        return found[0]

    def find_readable(self, kind: type[R], **equals: object) -> list[R]:
        """As find(), but a record that cannot be read is noted as damaged instead of ending it."""
        return kind_of(kind).codec.decode_all(self._rows_of(kind, equals), self.damage.note_record)

    def find(self, kind: type[R], **equals: object) -> list[R]:
        """The records of a kind whose fields equal the values given, oldest key first."""
        return kind_of(kind).codec.decode_all(self._rows_of(kind, equals))

    def _rows_of(self, kind: type[R], equals: Mapping[str, object]) -> list[tuple[Any, ...]]:
        table = kind_of(kind)
        tests, parameters = [], []
        for name, value in equals.items():
            if name not in table.codec.names:
                raise TypeError(f"{kind.__name__} has no field {name}")
            if value is None:
                tests.append(f'"{name}" IS NULL')
            else:
                tests.append(f'"{name}" = ?')
                parameters.append(table.codec.encode_value(name, value))
        where = f" WHERE {' AND '.join(tests)}" if tests else ""
        # Plain text: composing a query of forty columns takes longer than running it.
        statement = f'SELECT {table.columns} FROM "{table.table}"{where} ORDER BY uid'
        return self.rows(statement, parameters)

    def rows(self, statement: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> list[tuple[Any, ...]]:
        """The rows of a query; only for the modules of this room."""
        with sentences(self.path):
            try:
                return self.connection.execute(statement, parameters).fetchall()
            except sqlite3.OperationalError as error:
                if _NO_TEXT not in str(error):
                    raise
                return self._rows_replaced(statement, parameters)

    def _rows_replaced(self, statement: str, parameters: Sequence[Any] | Mapping[str, Any]) -> list[tuple[Any, ...]]:
        """Read once more with a mark in place of each byte that is no text, so that the other rows can be read."""
        self.connection.text_factory = _text_or_marks
        try:
            return self.connection.execute(statement, parameters).fetchall()
        finally:
            self.connection.text_factory = str

    def stream(self, statement: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> Iterator[tuple[Any, ...]]:
        """As rows(), one row at a time, for lists too long to hold."""
        with sentences(self.path):
            yield from self.connection.execute(statement, parameters)

    @contextmanager
    def change(self, who: str, reason: str = "") -> "Iterator[Change]":
        """A change by a person, saved when the block ends and undone when it fails; one inside another joins it."""
        if self._change is not None:
            yield self._change
            return
        if self._writer is None:
            # A query from the command line must not wait for what only writing needs.
            from appreg.register.changes import Writer  # noqa: PLC0415

            self._writer = Writer(self.path, self.connection, self.origin, self._clock, self.new_uid)
        with self._writer.transaction(who, reason) as change:
            self._change = change
            try:
                yield change
            finally:
                self._change = None
        self._written += change.lines
        if change.lines >= _MANY:
            self.tune()

    def tune(self) -> None:
        """Let SQLite look at the data again, so that its plans fit; a busy register is left as it is."""
        with suppress(sqlite3.OperationalError):
            self.connection.execute(f"PRAGMA analysis_limit = {_LOOKED_AT}")
            self.connection.execute("ANALYZE")
        self._written = 0

    def reopen(self) -> "Register":
        """The same file opened once more, for a thread of its own."""
        again = open_register(self.path, clock=self._clock, create=False, entropy=self._entropy)
        again.damage = self.damage
        return again

    def close(self) -> None:
        """Close this thread's connection."""
        if self._open:
            if self._written >= _SOME:
                self.tune()
            self._open = False
            self.connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _read_origin(self) -> Uid:
        rows = self.rows("SELECT value FROM register_meta WHERE key = 'origin'")
        if not rows:
            raise RegisterUnusable(f"The register {self.path} has lost its origin; restore it from a copy.")
        return Uid(rows[0][0])


def _text_or_marks(content: bytes) -> str:
    return content.decode(errors="replace")


def open_register(
    path: Path, *, clock: Clock = system_clock, create: bool = True, entropy: Entropy = random_bits
) -> Register:
    """Open a register, making it or bringing it up to date; raises RegisterUnusable in one sentence."""
    if sqlite3.sqlite_version_info < _OLDEST_SQLITE:
        raise RegisterUnusable(
            f"SQLite {sqlite3.sqlite_version} is too old; a Python with SQLite 3.37 or later is needed."
        )
    _look_at(path, create=create)
    with sentences(path):
        connection = sqlite3.connect(path, timeout=_WAIT_SECONDS, isolation_level=None)
        try:
            for pragma in _PRAGMAS:
                connection.execute(pragma)
            if not is_current(path, connection):
                # Only a new or an older file needs the steps.
                from appreg.register.migrations import bring_up_to_date  # noqa: PLC0415

                bring_up_to_date(path, connection, clock, UidSource(clock, entropy).new_uid)
            return Register(path, connection, clock, entropy)
        except BaseException:
            connection.close()
            raise


def _look_at(path: Path, *, create: bool) -> None:
    try:
        if path.is_dir():
            raise RegisterUnusable(f"{path} is a folder; name the register's file.")
        if path.exists():
            return
        if not create:
            raise RegisterUnusable(f"There is no register at {path}; `appreg demo` makes one to try.")
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise RegisterUnusable(
            f"The register {path} cannot be reached ({error.strerror}); choose another place."
        ) from error
