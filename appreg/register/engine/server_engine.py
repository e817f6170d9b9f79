"""A register in a database of a PostgreSQL server: one connection, made anew where the server went and came back."""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import cached_property
from itertools import count
from typing import TYPE_CHECKING, Any, Final

import psycopg
from psycopg import sql
from psycopg.conninfo import conninfo_to_dict
from psycopg.pq import TransactionStatus

from appreg.errors import InputRefused, RegisterUnusable
from appreg.register.engine.places import ServerPlace
from appreg.register.engine.server_dialect import POSTGRES
from appreg.register.engine.server_errors import cannot_connect, server_sentences
from appreg.register.engine.server_pipeline import CAN_BE, sent_together
from appreg.register.schema.record_kinds import KINDS_BY_TABLE

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect, Parameters

_CONNECT_SECONDS: Final = "5"
_SETTINGS: Final = (
    "SET lock_timeout = '5s'; SET datestyle = 'ISO, YMD'; SET standard_conforming_strings = on; "
    "SET idle_in_transaction_session_timeout = '60s'; "
    "SELECT set_config('synchronous_commit', 'on', false) WHERE current_setting('synchronous_commit') = 'off'"
)
"""What is saved is on the server's disk; a desk that hangs with the register held gives it up."""
_OLDEST: Final = 120000
_HOLD: Final = "SELECT value FROM register_meta WHERE key = 'origin' FOR UPDATE"
"""Whoever writes holds this row: the journal's chain is written by one at a time."""
_PATIENT: Final = "SET LOCAL lock_timeout = '60s'; SET LOCAL idle_in_transaction_session_timeout = '10min'"
"""While tables are made, copied or altered."""
_OWN_TABLES: Final = ", ".join((*KINDS_BY_TABLE, "journal", "migration", "register_meta"))
"""There may be more in the database."""
_CHANNEL: Final = "SELECT 'appreg_' || CAST(CAST('register_meta' AS regclass) AS oid)"
_ENDS: Final = "SELECT key, value FROM register_meta ORDER BY key"
_AT_ONCE: Final = 1000
_RESTING: Final = 4
_PREPARED_FROM: Final = 1
_PREPARED: Final = 400
"""A query that comes a second time is prepared, as to plan one takes longer than to answer it; so many are."""
_COPIED: Final = 50
"""From so many rows on they are copied in."""


class _Connection(psycopg.Connection[tuple[Any, ...]]):
    """Goes in silence with the register that nobody closed, as one to a file does."""

    def __del__(self, *_: Any) -> None:
        if hasattr(self, "pgconn"):
            self.close()


def connect(place: ServerPlace) -> "psycopg.Connection[tuple[Any, ...]]":
    """A connection to a database; raises RegisterUnusable where there is none to be had."""
    try:
        given = conninfo_to_dict(place.address)
    except psycopg.ProgrammingError as error:
        raise InputRefused(f"{place} is no address of a database ({_first_line(error)}).") from error
    if given.get("password") or given.get("sslpassword"):
        # It would stand in lists of processes, in histories of shells, and wherever a register is named.
        raise InputRefused(
            "A password does not belong in the register's address; put it into ~/.pgpass or a service file."
        )
    given.setdefault("connect_timeout", _CONNECT_SECONDS)
    given.setdefault("application_name", "appreg")
    given["client_encoding"] = "UTF8"
    try:
        connection = _Connection.connect(autocommit=True, **given)  # type: ignore[arg-type]
    except psycopg.Error as error:
        raise cannot_connect(str(place), error) from error
    try:
        with server_sentences(str(place)):
            connection.prepare_threshold, connection.prepared_max = _PREPARED_FROM, _PREPARED
            connection.execute(_SETTINGS)
            _refuse_unfit(place, connection)
    except BaseException:
        connection.close()
        raise
    return connection


class ServerEngine:
    """The connection to a register in a database."""

    dialect: "Dialect" = POSTGRES

    def __init__(
        self,
        place: ServerPlace,
        connection: "psycopg.Connection[tuple[Any, ...]]",
        resting: "deque[psycopg.Connection[tuple[Any, ...]]] | None" = None,
    ) -> None:
        self.server_place = place
        self.path = place.beside
        self.note: Callable[[str, str], None] = lambda _key, _sentence: None
        self._connection = connection
        self._is_first = resting is None
        self._resting = deque() if resting is None else resting
        """Connections of threads that are done, for the next ones: to make one takes longer than most queries."""
        self._cursors = count()
        self._within = False
        self._marked = False
        """Within the change a mark was set to come back to."""
        self._listening = False
        self._ends: list[tuple[Any, ...]] | None = None
        """Where the journal ended when it was last asked, on a server that tells of nothing."""
        self._heard: set[int] = set()
        """Who has saved since this was last asked for, by the server's number for a connection."""

    @property
    def name(self) -> str:
        """The database's name, and its server's."""
        return f"{self._connection.info.dbname} on {self._connection.info.host}"

    @property
    def place(self) -> str:
        """The address."""
        return self.server_place.address

    @property
    def read_only(self) -> str:
        """Why nothing can be saved, in a few words; empty where it can."""
        return self._read_only

    @cached_property
    def _read_only(self) -> str:
        ((standby, default),) = self.rows(
            "SELECT pg_is_in_recovery(), current_setting('default_transaction_read_only')"
        )
        if standby or default == "on":
            return "the server only gives it to be read"
        ((may,),) = self.rows("SELECT has_table_privilege('journal', 'INSERT')")
        return "" if may else "you may not write into its tables"

    @property
    def raw(self) -> "psycopg.Connection[tuple[Any, ...]]":
        """The driver's connection, made anew where the old one broke outside a change."""
        if self._connection.closed and not self._within:
            self._connection = connect(self.server_place)
            self._listening, self._ends = False, None
            self.__dict__.pop("database", None)
        return self._connection

    @cached_property
    def database(self) -> Any:
        """Peewee on the same connection."""
        from appreg.register.schema.server_tables import server_database  # noqa: PLC0415 - a query must not wait for peewee

        return server_database(self.raw)

    @contextmanager
    def sentences(self) -> Iterator[None]:
        """Name the database in what is said."""
        with server_sentences(self.place):
            yield

    def look(self) -> str:
        """A database is not put in another's place while it is open."""
        return ""

    def rows(self, statement: str, parameters: "Parameters" = ()) -> list[tuple[Any, ...]]:
        """The rows of a query, asked once more where the connection was found broken."""
        with self.sentences():
            try:
                return self._rows(statement, parameters)
            except psycopg.OperationalError:
                if self._within or not self._connection.closed:
                    raise
                return self._rows(statement, parameters)

    def _rows(self, statement: str, parameters: "Parameters") -> list[tuple[Any, ...]]:
        # Without parameters the driver looks for no marks.
        text = self.dialect.marked(statement) if parameters else statement
        cursor = self.raw.execute(text.encode(), parameters or None)
        return cursor.fetchall() if cursor.description else []

    def stream(self, statement: str, parameters: "Parameters" = ()) -> Iterator[tuple[Any, ...]]:
        """The rows of a query, fetched some at a time."""
        self._mend()
        with self.sentences():
            status = self.raw.info.transaction_status
            within = status == TransactionStatus.INTRANS
            text = psycopg.ClientCursor(self.raw).mogrify(self.dialect.marked(statement).encode(), parameters or ())
            with self.raw.cursor(name=f"appreg_{next(self._cursors)}", withhold=not within) as cursor:
                cursor.itersize = _AT_ONCE
                cursor.execute(text.encode())
                yield from cursor

    def _mend(self) -> None:
        """Where the server went and came back, rows() makes the connection anew."""
        if not self._within:
            self.rows("SELECT 1")

    def put_rows(self, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
        """Insert them; many are copied in."""
        named = sql.SQL(", ").join(map(sql.Identifier, columns))
        with self.raw.cursor() as cursor:
            if len(rows) < _COPIED:
                marks = sql.SQL(", ").join(sql.Placeholder() * len(columns))
                put = sql.SQL("INSERT INTO {} ({}) VALUES ({})").format(sql.Identifier(table), named, marks)
                with sent_together(self.raw):
                    cursor.executemany(put, rows)
                return
            with cursor.copy(sql.SQL("COPY {} ({}) FROM STDIN").format(sql.Identifier(table), named)) as copy:
                for row in rows:
                    copy.write_row(row)

    def set_rows(self, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
        """One after the other, sent together."""
        told = sql.SQL(", ").join(sql.SQL("{} = %s").format(sql.Identifier(name)) for name in columns)
        setting = sql.SQL("UPDATE {} SET {} WHERE uid = %s").format(sql.Identifier(table), told)
        with self.raw.cursor() as cursor, sent_together(self.raw):
            cursor.executemany(setting, rows)

    @contextmanager
    def transaction(self) -> Iterator[None]:
        """Hold the register against all other writers, and save all of it or nothing."""
        with self._begun(_HOLD, f"SELECT pg_notify(channel, '') FROM ({_CHANNEL}) AS own(channel); "):
            yield

    @contextmanager
    def alone(self, lock: str) -> Iterator[None]:
        """Hold a lock of the whole database while its tables are made or altered."""
        with self.sentences(), self._begun(f"{_PATIENT}; {lock}"):
            yield

    def hold_writers(self) -> None:
        """Within a change: wait for whoever saves, and let nobody else save until it ends."""
        self.rows(_HOLD)

    def hold(self) -> None:
        """From here on read everything as it stands at this moment, whatever others write; closing lets go."""
        self.rows("BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY")
        self._within = True

    def release(self) -> None:
        """Read on as it is at each moment."""
        self._within = False
        # A rollback would have the driver forget the statements it has prepared.
        self.rows("COMMIT")

    @contextmanager
    def attempt(self, *, together: bool = False) -> Iterator[None]:
        """What is refused within leaves the change around it as it was; `together` sends several statements at once."""
        with self.sentences():
            if not self._within:
                yield
            elif together and CAN_BE:
                with self._attempted_together(self.raw):
                    yield
            else:
                with self.raw.transaction():
                    yield

    @contextmanager
    def _attempted_together(self, connection: "psycopg.Connection[tuple[Any, ...]]") -> Iterator[None]:
        """The mark to come back to is taken away with the next one, or with the end of the change."""
        try:
            with sent_together(connection):
                if self._marked:
                    connection.execute(b"RELEASE SAVEPOINT appreg_put")
                connection.execute(b"SAVEPOINT appreg_put")
                self._marked = True
                yield
        except BaseException:
            with suppress(psycopg.Error):
                connection.execute(b"ROLLBACK TO SAVEPOINT appreg_put")
            raise

    @contextmanager
    def _begun(self, first: str, last: str = "") -> Iterator[None]:
        """A transaction; what is to be done first and last goes with its begin and its end, as each way there and back takes time."""
        # Whatever the server is set to: who waited for others has to see what they saved.
        begin = f"BEGIN ISOLATION LEVEL READ COMMITTED; {first}".encode()
        try:
            try:
                self.raw.execute(begin)
            except psycopg.OperationalError:
                if not self._connection.closed:
                    raise
                self.raw.execute(begin)
            self._within, self._marked = True, False
            yield
            self._commit(f"{last}COMMIT".encode())
        except BaseException:
            with suppress(psycopg.Error):
                self._connection.rollback()
            raise
        finally:
            self._within = False

    def _commit(self, end: bytes) -> None:
        try:
            self._connection.execute(end)
        except psycopg.OperationalError as error:
            if not self._connection.closed:
                raise
            raise RegisterUnusable(
                f"The server of {self.place} went while it was saving, and what was just entered may not be in it; "
                "look at it again before entering it anew."
            ) from error

    @contextmanager
    def unguarded(self, table: str) -> Iterator[None]:
        """The triggers rest; where the block fails they never did."""
        self.rows(f"ALTER TABLE {table} DISABLE TRIGGER USER")
        yield
        self.rows(f"ALTER TABLE {table} ENABLE TRIGGER USER")

    def refer_later(self) -> None:
        """All references can be."""
        self.rows("SET CONSTRAINTS ALL DEFERRED")

    def others_saved(self) -> bool:
        """The server tells what others save; nothing waits here for a server that went."""
        connection = self._connection
        if connection.closed or self._within:
            return False
        try:
            if self._ends is not None:
                return self._ends_moved(connection)
            if not self._listening:
                self._listen(connection)
                return False
            connection.pgconn.consume_input()
            while told := connection.pgconn.notifies():
                self._heard.add(told.be_pid)
            heard = self._heard - {connection.info.backend_pid}
            self._heard.clear()
            return bool(heard)
        except psycopg.Error:
            return False

    def _listen(self, connection: "psycopg.Connection[tuple[Any, ...]]") -> None:
        ((channel,),) = connection.execute(_CHANNEL.encode()).fetchall()
        # What comes with the answer to a query is handed over, what comes between two is fetched later.
        connection.add_notify_handler(lambda told: self._heard.add(told.pid))
        try:
            connection.execute(sql.SQL("LISTEN {}").format(sql.Identifier(channel)))
        except psycopg.errors.ReadOnlySqlTransaction:
            # A server that follows another hears of nothing: there it is asked where the journal ends.
            self._ends_moved(connection)
        else:
            self._listening = True

    def _ends_moved(self, connection: "psycopg.Connection[tuple[Any, ...]]") -> bool:
        seen, self._ends = self._ends, connection.execute(_ENDS.encode()).fetchall()
        return seen is not None and seen != self._ends

    def tune(self) -> None:
        """Let PostgreSQL tidy up and look at the data again; where it may not, all stays as it is."""
        with suppress(psycopg.DatabaseError, RegisterUnusable):
            self.raw.execute(f"VACUUM ANALYZE {_OWN_TABLES}".encode())

    def again(self) -> "ServerEngine":
        """Take a connection that rests, or connect once more."""
        with suppress(IndexError):
            while True:
                rested = self._resting.pop()
                if not rested.closed:
                    return ServerEngine(self.server_place, rested, self._resting)
        return ServerEngine(self.server_place, connect(self.server_place), self._resting)

    def close(self) -> None:
        """Give the connection up, or let it rest."""
        idle = self._connection.info.transaction_status == TransactionStatus.IDLE
        if not self._is_first and idle and len(self._resting) < _RESTING:
            self._resting.append(self._connection)
            return
        self._connection.close()
        while self._is_first and self._resting:
            self._resting.pop().close()


def _refuse_unfit(place: ServerPlace, connection: "psycopg.Connection[tuple[Any, ...]]") -> None:
    if connection.info.server_version < _OLDEST:
        raise RegisterUnusable(f"The server of {place} is too old; PostgreSQL 12 or later is needed.")
    encoding = connection.info.parameter_status("server_encoding")
    if encoding != "UTF8":
        raise RegisterUnusable(f"The database {place} is in {encoding}, which lacks letters; make one in UTF8.")


def _first_line(error: Exception) -> str:
    return str(error).strip().partition("\n")[0]
