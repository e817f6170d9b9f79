"""The register's file: opened, migrated, read record by record, and changed in whole transactions."""

import os
import sqlite3
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final, Self, TypeVar

from appreg.clock import Clock, Instant, system_clock
from appreg.core.records import Record
from appreg.core.text import shown
from appreg.core.uids import Uid
from appreg.errors import PUT_BACK, InputRefused, NotFound, RegisterUnusable
from appreg.register.damage_ledger import DamageLedger
from appreg.register.file_marks import is_current, refuse_half_done
from appreg.register.file_opening import OpenedFile, open_file
from appreg.register.journal_time import instant_of, last_time
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
_NO_TEXT: Final = "Could not decode to UTF-8"
"""How the driver says that a text holds other bytes."""
_MARK: Final = "\ufffd"
_QUOTED: Final = 40
_TURNS: Final = 5
"""Times that a register which others write to is opened anew before one reading is given up."""


class Register:
    """An open register; used by the thread that opened it, while others take their own by reopen()."""

    def __init__(self, path: Path, opened: OpenedFile, clock: Clock, entropy: Entropy) -> None:
        self.path = path
        self._opened = opened
        self._still = _still_of(path) if opened.still else ()
        self._clock = clock
        self._entropy = entropy
        self._uids = UidSource(self._instant_for_uids, entropy)
        self._writer: Writer | None = None
        self._change: Change | None = None
        self._written = 0
        self.was_changed = False
        """Something was saved since it was opened."""
        self._open = True
        self.damage = DamageLedger()
        """What could not be read so far, where reading went on."""
        self.on_saved: Callable[[str], None] | None = None
        """Called with the reason of each change once it is saved."""
        self.origin = self._read_origin()
        if not opened.read_only:
            opened.standing.note_beside()
        if fault := self.look():
            raise RegisterUnusable(f"{fault[:-1]}; open it again.")

    @property
    def connection(self) -> sqlite3.Connection:
        """The connection to the file; only for the modules of this room."""
        return self._opened.connection

    @property
    def read_only(self) -> str:
        """Why nothing can be saved into it, in a few words; empty where it can."""
        return self._opened.read_only

    def look(self) -> str:
        """One sentence where the file at the path is no longer the one that was opened, else empty."""
        return self._opened.standing.look()

    def new_uid(self) -> Uid:
        """A key that no other register will make, and later than all that the journal holds."""
        return self._change.new_uid() if self._change is not None else self._uids.new_uid()

    def last_instant(self) -> Instant | None:
        """The time of the journal's last line; None where there is none, or it is no time."""
        with sentences(self.path):
            time = last_time(self.connection)
        try:
            return None if time is None else instant_of(time)
        except ValueError:
            return None

    def _instant_for_uids(self) -> Instant:
        return Instant(max(self._clock(), (self.last_instant() or 0) + 1))

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

    def has(self, kind: type[R], **equals: object) -> bool:
        """Tell whether there is a record of a kind whose fields equal the values given, readable or not."""
        return bool(self._rows_of(kind, equals))

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
                return self._all_rows(statement, parameters)
            except sqlite3.OperationalError as error:
                if _NO_TEXT not in str(error):
                    raise
                return self._rows_replaced(statement, parameters)

    def _all_rows(self, statement: str, parameters: Sequence[Any] | Mapping[str, Any]) -> list[tuple[Any, ...]]:
        if self._opened.still:
            return self._rows_of_one_state(statement, parameters)
        return self.connection.execute(statement, parameters).fetchall()

    def _rows_replaced(self, statement: str, parameters: Sequence[Any] | Mapping[str, Any]) -> list[tuple[Any, ...]]:
        """Read once more with a mark in place of each byte that is no text, so that the other rows can be read."""
        self.connection.text_factory = _text_or_marks
        try:
            rows = self.connection.execute(statement, parameters).fetchall()
        finally:
            self.connection.text_factory = str
        marked = next((cell for row in rows for cell in row if isinstance(cell, str) and _MARK in cell), "")
        self.damage.note(
            "text", f"“{shown(marked)[:_QUOTED]}” in the register holds bytes that are no text; run `appreg verify`."
        )
        return rows

    def stream(self, statement: str, parameters: Sequence[Any] | Mapping[str, Any] = ()) -> Iterator[tuple[Any, ...]]:
        """As rows(), one row at a time, for lists too long to hold."""
        with sentences(self.path):
            if self._opened.still:
                yield from self._rows_of_one_state(statement, parameters)
            else:
                yield from self.connection.execute(statement, parameters)

    @contextmanager
    def change(self, who: str, reason: str = "") -> "Iterator[Change]":
        """A change by a person, saved when the block ends and undone when it fails; one inside another joins it."""
        if self._change is not None:
            yield self._change
            return
        self.require_writable()
        if self._writer is None:
            # A query from the command line must not wait for what only writing needs.
            from appreg.register.changes import Writer  # noqa: PLC0415

            self._writer = Writer(self._opened, self.origin, self._clock, self._entropy)
        with self._writer.transaction(who, reason) as change:
            self._change = change
            try:
                yield change
            finally:
                self._change = None
        self._written += change.lines
        self.was_changed = self.was_changed or change.lines > 0
        if change.lines and self.on_saved is not None:
            self.on_saved(reason)
        if change.lines >= _MANY:
            self.tune()

    def require_writable(self) -> None:
        """Raise RegisterUnusable where nothing can be saved; before work whose result has to be saved."""
        if self.read_only:
            raise RegisterUnusable(
                f"The register {self.path} is open to read only, as {self.read_only}: nothing was saved; "
                "change its permissions, or copy it to another folder while the program is closed."
            )

    def tune(self) -> None:
        """Let SQLite look at the data again, so that its plans fit; where it cannot, all stays as it is."""
        with suppress(sqlite3.DatabaseError):
            self.connection.execute(f"PRAGMA analysis_limit = {_LOOKED_AT}")
            self.connection.execute("ANALYZE")
        self._written = 0

    def reopen(self) -> "Register":
        """The same file opened once more, for a thread of its own; raises RegisterUnusable where another stands there."""
        own = open_register(self.path, clock=self._clock, create=False, entropy=self._entropy)
        own.damage = self.damage
        if own.read_only or (fault := self.look()) == "":
            return own
        own.close()
        raise RegisterUnusable(f"{fault[:-1]}; put it back, or leave and open anew what is there now.")

    def copied(self) -> "Register":
        """A private copy of a register that may only be read, in which a check may do what it must."""
        return _opened_register(open_file(self.path, copied=True), self.path, self._clock, self._entropy)

    def close(self) -> None:
        """Close this thread's connection."""
        if self._open:
            if self._written >= _SOME:
                self.tune()
            self._open = False
            self._opened.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _rows_of_one_state(
        self, statement: str, parameters: Sequence[Any] | Mapping[str, Any]
    ) -> list[tuple[Any, ...]]:
        """Read what others may write to meanwhile: anew from the file whenever somebody did."""
        for _ in range(_TURNS):
            if self._still == _still_of(self.path):
                try:
                    rows = self.connection.execute(statement, parameters).fetchall()
                except sqlite3.DatabaseError:
                    # Half of one state and half of another reads like damage.
                    if self._still == _still_of(self.path):
                        raise
                else:
                    if self._still == _still_of(self.path):
                        return rows
            self._open_anew()
        raise RegisterUnusable(f"The register {self.path} is being written by another program; try again in a moment.")

    def _open_anew(self) -> None:
        still = _still_of(self.path)
        opened = open_file(self.path)
        self._opened.close()
        self._opened, self._still = opened, still

    def _read_origin(self) -> Uid:
        rows = self.rows("SELECT value FROM register_meta WHERE key = 'origin'")
        if not rows or not isinstance(rows[0][0], str):
            raise RegisterUnusable(f"The register {self.path} has lost its origin; {PUT_BACK}.")
        return Uid(rows[0][0])


def _text_or_marks(content: bytes) -> str:
    return content.decode(errors="replace")


def open_register(
    path: Path, *, clock: Clock = system_clock, create: bool = True, entropy: Entropy = random_bits
) -> Register:
    """Open a register, bringing it up to date, or with `create` making one where nothing is.

    Where it may not be written to it opens to be read. Raises RegisterUnusable in one sentence.
    """
    if sqlite3.sqlite_version_info < _OLDEST_SQLITE:
        raise RegisterUnusable(
            f"SQLite {sqlite3.sqlite_version} is too old; a Python with SQLite 3.37 or later is needed."
        )
    if not os.path.lexists(path):
        refuse_half_done(path)
    if create and not os.path.lexists(path):
        from appreg.register.register_making import make_register  # noqa: PLC0415 - few starts make one

        try:
            make_register(path, clock=clock, entropy=entropy)
        except InputRefused:
            # Another window may have been quicker.
            if not path.exists():
                raise
    return _opened_register(open_file(path), path, clock, entropy)


def _opened_register(opened: OpenedFile, path: Path, clock: Clock, entropy: Entropy) -> Register:
    try:
        with sentences(path):
            _bring_up_to_date(opened, path, clock, entropy)
            return Register(path, opened, clock, entropy)
    except BaseException:
        opened.close()
        raise


def _bring_up_to_date(opened: OpenedFile, path: Path, clock: Clock, entropy: Entropy) -> None:
    current = is_current(path, opened.connection)
    if opened.standing.is_cut(opened.connection.execute("PRAGMA page_size").fetchone()[0]):
        raise RegisterUnusable(f"The register {path} is damaged (its end is missing); {PUT_BACK}.")
    if opened.read_only:
        if not current:
            raise RegisterUnusable(
                f"The register {path} is of an older appreg and cannot be brought up to date, as {opened.read_only}; "
                "copy it to a folder of your own and open the copy."
            )
        return
    (mode,) = opened.connection.execute("PRAGMA journal_mode").fetchone()
    if mode != "wal":
        opened.connection.execute("PRAGMA journal_mode = WAL")
    if not current:
        # Only an older file needs the steps.
        from appreg.register.migrations import bring_up_to_date  # noqa: PLC0415

        bring_up_to_date(path, opened.connection, clock, UidSource(clock, entropy).new_uid)


def _still_of(path: Path) -> tuple[tuple[int, ...], ...]:
    from appreg.register.read_only_copy import still_of  # noqa: PLC0415 - only where a register may not be written to

    try:
        return still_of(path)
    except OSError as error:
        raise RegisterUnusable(f"The register {path} can no longer be reached ({error.strerror}).") from error
