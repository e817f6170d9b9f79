"""A register: opened wherever it is kept, read record by record, and changed in whole transactions."""

import os
import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final, Protocol, Self, TypeVar

from appreg.clock import Clock, Instant, system_clock
from appreg.core.records.kept_records import Record
from appreg.core.values.uids import Uid
from appreg.errors import PUT_BACK, InputRefused, NotFound, RegisterUnusable
from appreg.register.engine.file_engine import FileEngine
from appreg.register.engine.file_opening import HANDED_OVER, OpenedFile, open_file
from appreg.register.journal.journal_ends import instant_of, last_time
from appreg.register.journal.uid_source import Entropy, UidSource, random_bits
from appreg.register.schema.file_marks import is_current, refuse_half_done
from appreg.register.schema.record_codec import DamageLedger
from appreg.register.schema.record_kinds import kind_of

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect, Engine, Parameters
    from appreg.register.engine.places import Place
    from appreg.register.journal.changes import Change, Writer

R = TypeVar("R", bound=Record)

_OLDEST_SQLITE: Final = (3, 37, 0)
_MANY: Final = 5000
"""From so many journal lines in one change on, the database looks at the data again at once."""
_SOME: Final = 200
"""From so many on, it does so when the register is closed."""


class WritingPlace(Protocol):
    """Knows which chain of a register's journal is written here: each machine has its own."""

    def origin_of(self, register: "Register") -> Uid | None:
        """The chain that is gone on with; None: one that begins with the next change."""

    def wrote(self, register: "Register", origin: Uid) -> None:
        """Take note that the chain was begun, or gone on with."""


class Register:
    """An open register; used by the thread that opened it, while others take their own by reopen()."""

    def __init__(self, engine: "Engine", clock: Clock, entropy: Entropy) -> None:
        self.engine = engine
        """Only for the modules of this room."""
        self._clock = clock
        self._entropy = entropy
        self._uids = UidSource(partial(_instant_for_uids, engine, clock), entropy)
        self._writer: Writer | None = None
        self._change: Change | None = None
        self._written = 0
        self.was_changed = False
        """Something was saved since it was opened."""
        self.last_change: Uid | None = None
        """The key of the last change that was saved through it."""
        self.last_lines = 0
        """The lines of the journal that it came to."""
        self._open = True
        self.writing_place: WritingPlace | None = None
        """None: the chain that the register was made with is gone on with."""
        self.damage = DamageLedger()
        self.on_saved: Callable[[str], None] | None = None
        """Called with the reason of each change once it is saved."""
        self.origin = self._read_origin()

    @property
    def damage(self) -> DamageLedger:
        """What could not be read so far, where reading went on."""
        return self._damage

    @damage.setter
    def damage(self, ledger: DamageLedger) -> None:
        self._damage = ledger
        self.engine.note = ledger.note

    @property
    def path(self) -> Path:
        """The file, or what stands for one in the names of what is kept beside a register."""
        return self.engine.path

    @property
    def name(self) -> str:
        """What it is called where there is little room."""
        return self.engine.name

    @property
    def in_file(self) -> bool:
        """It is a file, which can be copied back over, or moved."""
        return isinstance(self.engine, FileEngine)

    @property
    def place(self) -> str:
        """Where it is, as sentences name it."""
        return self.engine.place

    @property
    def dialect(self) -> "Dialect":
        """What its database says in its own way; only for the modules of this room."""
        return self.engine.dialect

    @property
    def connection(self) -> Any:
        """The driver's connection; only for the modules of this room."""
        return self.engine.raw

    @property
    def read_only(self) -> str:
        """Why nothing can be saved into it, in a few words; empty where it can."""
        return self.engine.read_only

    def look(self) -> str:
        """One sentence where what stands at its place is no longer what was opened, else empty."""
        return self.engine.look()

    def others_saved(self) -> bool:
        """Tell whether anybody else has saved into it since this was last asked; the first answer is no."""
        return self.engine.others_saved()

    def new_uid(self) -> Uid:
        """A key that no other register will make, and later than all that the journal holds."""
        return self._change.new_uid() if self._change is not None else self._uids.new_uid()

    def last_instant(self) -> Instant | None:
        """The time of the journal's last line; None where there is none, or it is no time."""
        return _last_instant(self.engine)

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
        where, parameters = _where(kind, equals)
        return bool(self.engine.rows(f'SELECT 1 FROM "{kind_of(kind).table}"{where} LIMIT 1', parameters))

    def _rows_of(self, kind: type[R], equals: Mapping[str, object]) -> list[tuple[Any, ...]]:
        where, parameters = _where(kind, equals)
        # Plain text: composing a query of forty columns takes longer than running it.
        statement = f'SELECT {kind_of(kind).columns} FROM "{kind_of(kind).table}"{where} ORDER BY uid'
        return self.engine.rows(statement, parameters)

    def rows(self, statement: str, parameters: "Parameters" = ()) -> list[tuple[Any, ...]]:
        """The rows of a query; only for the modules of this room."""
        return self.engine.rows(statement, parameters)

    def stream(self, statement: str, parameters: "Parameters" = ()) -> Iterator[tuple[Any, ...]]:
        """As rows(), one row at a time, for lists too long to hold."""
        return self.engine.stream(statement, parameters)

    @contextmanager
    def change(self, who: str, reason: str = "") -> "Iterator[Change]":
        """A change by a person, saved when the block ends and undone when it fails; one inside another joins it."""
        if self._change is not None:
            yield self._change
            return
        with self.change_after(None, who, reason) as change:
            yield change

    @contextmanager
    def change_after(
        self, beforehand: "Callable[[Engine], None] | None", who: str, reason: str = ""
    ) -> "Iterator[Change]":
        """As change(), once lines of other chains were put in; only for the modules of this room."""
        self.require_writable()
        writer = self._writing()
        begun = writer.origin
        with writer.transaction(who, reason, beforehand) as change:
            self._change = change
            try:
                yield change
            finally:
                self._change = None
        lines = change.lines
        if self.writing_place is not None and writer.origin is not None and writer.origin != begun:
            self.writing_place.wrote(self, writer.origin)
        if lines:
            self.last_change, self.last_lines = change.uid, lines
        self._written += lines
        self.was_changed = self.was_changed or lines > 0
        if lines and self.on_saved is not None:
            self.on_saved(reason)
        if lines >= _MANY:
            self.tune()

    def _writing(self) -> "Writer":
        if self._writer is None:
            # A query from the command line must not wait for what only writing needs.
            from appreg.register.journal.changes import Writer  # noqa: PLC0415

            place = self.writing_place
            origin = self.origin if place is None else place.origin_of(self)
            self._writer = Writer(self.engine, origin, self._clock, self._entropy)
        return self._writer

    @property
    def is_changing(self) -> bool:
        """A change is under way: what is written may still be undone."""
        return self._change is not None

    def require_writable(self) -> None:
        """Raise RegisterUnusable where nothing can be saved; before work whose result has to be saved."""
        if self.read_only == HANDED_OVER:
            raise RegisterUnusable(
                f"{self.place} holds what was handed over of one site and is only read: nothing was saved; take it into a "
                "register of your own with `appreg merge`."
            )
        if self.read_only:
            raise RegisterUnusable(
                f"The register {self.place} is open to read only, as {self.read_only}: nothing was saved; "
                "change its permissions, or copy it to another folder while the program is closed."
            )

    def tune(self) -> None:
        """Have the database look at the data again, so that its plans fit."""
        self.engine.tune()
        self._written = 0

    def leave_log(self) -> None:
        """Let no change wait until what was saved before is in the file itself: write_back() sees to that, in any thread."""
        if isinstance(self.engine, FileEngine):
            self.engine.leave_log()

    def write_back(self) -> None:
        """Carry what was saved from the database's log into the file; nothing where it keeps none beside one."""
        if isinstance(self.engine, FileEngine):
            self.engine.write_back()

    def reopen(self) -> "Register":
        """The same once more, for a thread of its own; raises RegisterUnusable where another stands there."""
        own = opened_register(self.engine.again(), clock=self._clock, entropy=self._entropy)
        own.damage = self.damage
        own.writing_place = self.writing_place
        if own.read_only or (fault := self.look()) == "":
            return own
        own.close()
        raise RegisterUnusable(f"{fault[:-1]}; put it back, or leave and open anew what is there now.")

    def close(self) -> None:
        """Close this thread's connection."""
        if self._open:
            if self._written >= _SOME:
                self.tune()
            if self.was_changed and self.writing_place is not None and self._writer and self._writer.origin:
                self.writing_place.wrote(self, self._writer.origin)
            self._open = False
            self.engine.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _read_origin(self) -> Uid:
        rows = self.rows("SELECT value FROM register_meta WHERE key = 'origin'")
        if not rows or not isinstance(rows[0][0], str):
            raise RegisterUnusable(f"The register {self.place} has lost its origin; {PUT_BACK}.")
        return Uid(rows[0][0])


def _where(kind: type[R], equals: Mapping[str, object]) -> tuple[str, list[Any]]:
    """The condition of a query that fields equal values, and its parameters."""
    codec = kind_of(kind).codec
    tests, parameters = [], []
    for name, value in equals.items():
        if name not in codec.names:
            raise TypeError(f"{kind.__name__} has no field {name}")
        if value is None:
            tests.append(f'"{name}" IS NULL')
        else:
            tests.append(f'"{name}" = ?')
            parameters.append(codec.encode_value(name, value))
    return f" WHERE {' AND '.join(tests)}" if tests else "", parameters


def _last_instant(engine: "Engine") -> Instant | None:
    """The time of the journal's last line; None where there is none, or it is no time."""
    time = last_time(engine.rows)
    try:
        return None if time is None else instant_of(time)
    except ValueError:
        return None


def _instant_for_uids(engine: "Engine", clock: Clock) -> Instant:
    """Later than all that the journal holds; of no register, so that one that is let go of is gone at once."""
    return Instant(max(clock(), (_last_instant(engine) or 0) + 1))


def open_register(
    path: "Place", *, clock: Clock = system_clock, create: bool = True, entropy: Entropy = random_bits
) -> Register:
    """Open a register, bringing it up to date, or with `create` making one where nothing is.

    Where it may not be written to it opens to be read. Raises RegisterUnusable in one sentence.
    """
    if not isinstance(path, Path):
        refuse_without_driver()
        from appreg.register.opening.server_opening import open_server  # noqa: PLC0415 - files need no driver

        return opened_register(
            open_server(path, clock=clock, create=create, entropy=entropy), clock=clock, entropy=entropy
        )
    if sqlite3.sqlite_version_info < _OLDEST_SQLITE:
        raise RegisterUnusable(
            f"SQLite {sqlite3.sqlite_version} is too old; a Python with SQLite 3.37 or later is needed."
        )
    if not os.path.lexists(path):
        refuse_half_done(path)
    if create and not os.path.lexists(path):
        from appreg.register.opening.file_making import make_file  # noqa: PLC0415 - few starts make one

        try:
            make_file(path, clock=clock, entropy=entropy)
        except InputRefused:
            # Another window may have been quicker.
            if not path.exists():
                raise
    return opened_register(FileEngine(path, open_file(path)), clock=clock, entropy=entropy)


def refuse_without_driver() -> None:
    """Raise RegisterUnusable where the driver of PostgreSQL is not installed."""
    from importlib.util import find_spec  # noqa: PLC0415 - files need no driver

    if find_spec("psycopg") is None:
        raise RegisterUnusable(
            "A register in a database needs PostgreSQL's driver; install it with `pip install 'appreg[postgres]'`."
        )


def opened_register(engine: "Engine", *, clock: Clock = system_clock, entropy: Entropy = random_bits) -> Register:
    """A register on a connection that is open already, brought up to date; raises RegisterUnusable."""
    try:
        with engine.sentences():
            if isinstance(engine, FileEngine):
                _bring_up_to_date(engine.opened, engine.path, clock, entropy)
            register = Register(engine, clock, entropy)
            if isinstance(engine, FileEngine):
                engine.settle()
            return register
    except BaseException:
        engine.close()
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
        from appreg.register.opening.migrations import bring_up_to_date  # noqa: PLC0415

        bring_up_to_date(path, opened.connection, clock, UidSource(clock, entropy).new_uid)
