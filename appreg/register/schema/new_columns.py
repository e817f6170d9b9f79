"""Columns that a step adds to a table, worded by peewee for whichever database a register is in.

A column that may not be empty has its default in the table itself: SQLite then adds it, where it would otherwise have the
table made anew, without its triggers.
"""

from collections.abc import Callable
from functools import partial
from typing import Any

from peewee import SQL, BigIntegerField, Check, IntegerField, TextField
from playhouse.migrate import Operation, PostgresqlMigrator, SchemaMigrator


def has_column(database: Any, table: str, name: str) -> bool:
    """Tell whether a table has a column, as peewee sees the database."""
    return any(column.name == name for column in database.get_columns(table))


def new_text(
    migrator: SchemaMigrator, table: str, name: str, *, default: str | None = "", check: str = ""
) -> Operation:
    """A column of text; `default` None: it may be empty. `check` is a condition in the part of SQL that both know."""
    # Texts are sorted by code points everywhere.
    kind = partial(TextField, collation='"C"') if isinstance(migrator, PostgresqlMigrator) else TextField
    return migrator.add_column(table, name, _field(kind, default, check), allow_not_null=True)


def new_number(migrator: SchemaMigrator, table: str, name: str, *, default: int | None, check: str = "") -> Operation:
    """A column of whole numbers; `default` None: it may be empty."""
    kind = BigIntegerField if isinstance(migrator, PostgresqlMigrator) else IntegerField
    return migrator.add_column(table, name, _field(kind, default, check), allow_not_null=True)


def new_reference(migrator: SchemaMigrator, table: str, name: str, other: str) -> Operation:
    """A column that is empty, or holds the key of a record of another table."""
    on_server = isinstance(migrator, PostgresqlMigrator)
    kind = partial(TextField, collation='"C"') if on_server else TextField
    words = f"REFERENCES {other} (uid)" + (" DEFERRABLE INITIALLY IMMEDIATE" if on_server else "")
    return migrator.add_column(table, name, kind(null=True, constraints=[SQL(words)]), allow_not_null=True)


def new_flag(migrator: SchemaMigrator, table: str, name: str) -> Operation:
    """A column that is 0, as it is at first, or 1."""
    return new_number(migrator, table, name, default=0, check=f'"{name}" IN (0, 1)')


def _field(kind: Callable[..., Any], default: str | int | None, check: str) -> Any:
    quoted = f"'{default}'" if isinstance(default, str) else default
    constraints: list[Any] = [] if default is None else [SQL(f"DEFAULT {quoted}")]
    if check:
        constraints.append(Check(check))
    return kind(null=default is None, constraints=constraints)
