"""The tables as peewee sees them, one for each kind of record, made from its fields when it is first written."""

import sqlite3
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import NoneType
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct
from peewee import DatabaseError, IntegerField, Model, SqliteDatabase, TextField

from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import Kind

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect


class _AdoptedDatabase(SqliteDatabase):
    """peewee's door to the connection that a register reads through."""

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        super().__init__(str(path), lock_type="IMMEDIATE", autoconnect=False)
        self._adopted = connection
        self.connect()

    def _connect(self) -> sqlite3.Connection:
        return self._adopted

    def execute_sql(self, sql: str, params: Any = None) -> Any:
        """Run a statement; what the driver complains of is left in its own words, which are known by their codes."""
        try:
            return super().execute_sql(sql, params)  # type: ignore[no-untyped-call]
        except DatabaseError as error:
            cause = getattr(error, "orig", None)
            raise (cause if isinstance(cause, sqlite3.Error) else error) from error


def file_database(path: Path, connection: sqlite3.Connection) -> Any:
    """The connection to a register's file as peewee knows it."""
    return _AdoptedDatabase(path, connection)


class MetaRow(Model):
    """What a register notes of itself."""

    key = TextField(primary_key=True)
    value = TextField()

    class Meta:  # noqa: D106
        table_name = "register_meta"


class Statement(Struct, frozen=True):
    """A statement as peewee words it for a database, once for all rows of which the same is written."""

    words: str
    marked: tuple[str, ...]
    """The columns whose cells its marks stand for."""

    def run(self, database: Any, cells: Mapping[str, Cell]) -> None:
        """Write a row's cells; the uid of an update's row is among them."""
        database.execute_sql(self.words, tuple(cells[name] for name in self.marked))


_WORDED: Final[dict[tuple[type[Any], Any, str, tuple[str, ...]], Statement]] = {}


def insertion(database: Any, model: Any, columns: tuple[str, ...]) -> Statement:
    """The statement that inserts a row; the key is known, so nothing that a database gave the row is asked for."""
    made = (type(database), model, "insert", columns)
    if made not in _WORDED:
        _WORDED[made] = _worded(database, model.insert(_numbered(columns)).as_rowcount(), columns)
    return _WORDED[made]


def alteration(database: Any, model: Any, columns: tuple[str, ...]) -> Statement:
    """The statement that alters some cells of the row of a uid."""
    made = (type(database), model, "update", columns)
    if made not in _WORDED:
        query = model.update(_numbered(columns)).where(model.uid == str(len(columns)))
        _WORDED[made] = _worded(database, query, (*columns, "uid"))
    return _WORDED[made]


def _numbered(columns: tuple[str, ...]) -> dict[str, str]:
    """For each column its number as its cell, which a column of whole numbers takes too: so each mark tells whose it is."""
    return {name: str(number) for number, name in enumerate(columns)}


def _worded(database: Any, query: Any, columns: tuple[str, ...]) -> Statement:
    words, numbers = database.get_sql_context().sql(query).query()
    return Statement(words, tuple(columns[int(number)] for number in numbers))


def remember(database: Any, key: str, value: str) -> None:
    """Note something in place of what was noted by that key."""
    noted: Any = MetaRow.insert(key=key, value=value)
    noted.on_conflict(conflict_target=[MetaRow.key], preserve=[MetaRow.value]).as_rowcount().execute(database)


def model_of(kind: Kind[Any], dialect: "Dialect") -> Any:
    """The model of a kind's table; its columns are the record's fields, which hold text or whole numbers."""
    return _model(kind, tuple(dialect.derived.get(kind.table, ())))


@cache
def _model(kind: Kind[Any], beside: tuple[str, ...]) -> Any:
    columns: dict[str, Any] = {name: _column(name, cells) for name, cells in kind.codec.cells.items()}
    columns |= {name: TextField() for name in beside}
    columns["Meta"] = type("Meta", (), {"table_name": kind.table})
    return type(f"{kind.record.__name__}Row", (Model,), columns)


def _column(name: str, cells: tuple[type, ...]) -> Any:
    made: Any = IntegerField if int in cells else TextField
    return made(primary_key=name == "uid", null=NoneType in cells)
