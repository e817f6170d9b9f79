"""Tables that a step adds, worded by peewee for whichever database a register is in.

Conditions are written in the part of SQL that both databases know, but for days, which each checks its own way.
"""

from collections.abc import Sequence
from functools import partial
from typing import Any, Final

from peewee import SQL, BigIntegerField, Check, Field, IntegerField, Model, SqliteDatabase, TextField
from playhouse.migrate import Operation, PostgresqlMigrator, SchemaMigrator

_LETTERS: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Those of a key."""
WORDS: Final = "substr({0}, 1, 1) = '['"
"""A list of texts."""

Columns = dict[str, Any]


class Shape:
    """Makes the columns of new tables."""

    def __init__(self, migrator: SchemaMigrator) -> None:
        self._migrator = migrator
        self._on_server = isinstance(migrator, PostgresqlMigrator)

    def key(self) -> Columns:
        """The key of a record."""
        check = f"length(uid) = 26 AND ltrim(uid, '{_LETTERS}') = ''"
        return {"uid": self._text(primary_key=True, constraints=[Check(check)])}

    def texts(self, *names: str) -> Columns:
        """Columns of text."""
        return {name: self._text() for name in names}

    def lists(self, *names: str) -> Columns:
        """Columns that hold a list of texts."""
        return {name: self._text(constraints=[Check(WORDS.format(f'"{name}"'))]) for name in names}

    def among(self, name: str, *values: str) -> Columns:
        """A column that holds one of some words."""
        listed = ", ".join(f"'{value}'" for value in values)
        return {name: self._text(constraints=[Check(f'"{name}" IN ({listed})')])}

    def days(self, *names: str, null: bool = False) -> Columns:
        """Columns that hold a day."""
        return {name: self._text(null=null, constraints=[Check(self.is_day(name))]) for name in names}

    def is_day(self, name: str) -> str:
        """The condition that a column holds a day that there is, as the program writes it."""
        if self._on_server:
            return f'"{name}" = to_char(CAST("{name}" AS date), \'YYYY-MM-DD\')'
        return f'"{name}" IS date("{name}", \'+0 days\')'

    def numbers(self, *names: str) -> Columns:
        """Columns of whole numbers."""
        kind = BigIntegerField if self._on_server else IntegerField
        return {name: kind() for name in names}

    def flags(self, *names: str) -> Columns:
        """Columns that are 0 or 1."""
        kind = BigIntegerField if self._on_server else IntegerField
        return {name: kind(constraints=[Check(f'"{name}" IN (0, 1)')]) for name in names}

    def refers(self, name: str, table: str, *, null: bool = False) -> Columns:
        """A column that holds the key of a record of another table."""
        words = f"REFERENCES {table} (uid)" + (" DEFERRABLE INITIALLY IMMEDIATE" if self._on_server else "")
        return {name: self._text(null=null, constraints=[SQL(words)])}

    def _text(self, **said: Any) -> Field:
        # Texts are sorted by code points everywhere.
        kind = partial(TextField, collation='"C"') if self._on_server else TextField
        made: Field = kind(**said)
        return made


def new_table(migrator: SchemaMigrator, name: str, columns: Columns) -> Operation:
    """A table, whose cells SQLite holds to their types as PostgreSQL does."""
    strict = isinstance(migrator.database, SqliteDatabase)
    meta = type("Meta", (), {"table_name": name, "strict_tables": strict})
    model: Any = type(name, (Model,), {**columns, "Meta": meta})

    def make(at: SchemaMigrator) -> None:
        with at.database.bind_ctx([model]):
            model.create_table(safe=False)

    return Operation(migrator, make)


def new_index(migrator: SchemaMigrator, table: str, columns: Sequence[str], *, unique: bool = False) -> Operation:
    """An index named by its table and its first column."""
    found: Operation = migrator.add_index(table, columns, unique=unique, name=f"{table}_{columns[0]}")
    return found
