"""Many rows put into one table of SQLite's, or set, in one statement, which opens each of its indexes once instead of for every row."""

import sqlite3
from collections.abc import Sequence
from typing import Any


def put_together(
    connection: sqlite3.Connection, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]
) -> None:
    """Insert rows in their order; within a transaction, for they wait in a table of the connection's own.

    Only columns that differ wait there, as keys do; what all rows have alike is told once.
    """
    by_column = list(zip(*rows, strict=True))
    alike = [cells[0] == cells[-1] and cells.count(cells[0]) == len(cells) for cells in by_column]
    differing = [cells for cells, same in zip(by_column, alike, strict=True) if not same]
    names = [f"c{place}" for place in range(len(differing))]
    connection.execute(f"CREATE TEMP TABLE waiting ({', '.join(names)})")
    connection.executemany(
        f"INSERT INTO temp.waiting VALUES ({', '.join('?' * len(names))})",
        zip(*differing, strict=True),
    )
    waiting = iter(names)
    taken = ", ".join("?" if same else next(waiting) for same in alike)
    listed = ", ".join(f'"{name}"' for name in columns)
    connection.execute(
        f'INSERT INTO main."{table}" ({listed}) SELECT {taken} FROM temp.waiting ORDER BY rowid',
        [cells[0] for cells, same in zip(by_column, alike, strict=True) if same],
    )
    connection.execute("DROP TABLE temp.waiting")


def set_together(
    connection: sqlite3.Connection, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]
) -> None:
    """Set some columns of rows, no two of one key, which stands behind their cells; within a transaction, as above."""
    names = [f"c{place}" for place in range(len(columns))]
    connection.execute(f"CREATE TEMP TABLE waiting ({', '.join([*names, 'row_key'])})")
    connection.executemany(f"INSERT INTO temp.waiting VALUES ({', '.join('?' * (len(names) + 1))})", rows)
    told = ", ".join(f'"{column}" = temp.waiting.{name}' for column, name in zip(columns, names, strict=True))
    # With a sign before it the key cannot be looked up in an index made for the purpose: each row is looked up in its own table.
    connection.execute(f'UPDATE main."{table}" SET {told} FROM temp.waiting WHERE uid = +row_key')
    connection.execute("DROP TABLE temp.waiting")
