"""Statements run all or not at all."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress


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
