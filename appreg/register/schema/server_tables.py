"""peewee on a connection to a PostgreSQL server."""

from typing import Any

import psycopg
from peewee import DatabaseError, PostgresqlDatabase


class _AdoptedServerDatabase(PostgresqlDatabase):
    """peewee's door to the connection that a register reads through."""

    def __init__(self, connection: "psycopg.Connection[tuple[Any, ...]]") -> None:
        super().__init__(connection.info.dbname, autoconnect=False)
        self._adopted = connection
        self.connect()

    def _connect(self) -> "psycopg.Connection[tuple[Any, ...]]":
        return self._adopted

    def _set_server_version(self, conn: "psycopg.Connection[tuple[Any, ...]]") -> None:
        self.server_version = conn.info.server_version

    def execute_sql(self, sql: str, params: Any = None) -> Any:
        """Run a statement; what the driver complains of is left in its own words, which are known by their codes."""
        try:
            return super().execute_sql(sql, params)  # type: ignore[no-untyped-call]
        except DatabaseError as error:
            cause = getattr(error, "orig", None)
            raise (cause if isinstance(cause, psycopg.Error) else error) from error


def server_database(connection: "psycopg.Connection[tuple[Any, ...]]") -> Any:
    """The connection to a register's database as peewee knows it."""
    return _AdoptedServerDatabase(connection)
