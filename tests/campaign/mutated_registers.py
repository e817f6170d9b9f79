"""Mutations of a register: bytes of its pages written over, or cells of its tables set to what no program would keep."""

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from random import Random
from typing import Final

_CELLS: Final = (
    None, "", 0, -1, 1.5, 2**62, float("inf"), b"\xff\x00", "x" * 5000, "9999-12-31", "0001-01-01", "2026-13-45", "2026-11-24",
    "\x1b[2J", "\0", "[red]", "=1+1", "{", "[]", "{}", "null", "true", "NaN", "P0D", "1e999", "pass", "fail", "HR-001", "gb",
)  # fmt: skip


def mutate_register(path: Path, random: Random) -> str:
    """Change the file in place; returns what was done, in words."""
    return _write_over(path, random) if random.random() < 0.5 else _set_cells(path, random)


def _write_over(path: Path, random: Random) -> str:
    held = bytearray(path.read_bytes())
    places = []
    for _ in range(random.choice((1, 2, 5, 20))):
        at = random.randrange(random.choice((100, len(held))))
        places.append(at)
        held[at] = random.choice((held[at] ^ (1 << random.randrange(8)), 0, 255))
    path.write_bytes(held)
    return f"bytes at {places}"


def _set_cells(path: Path, random: Random) -> str:
    done = []
    with closing(sqlite3.connect(path, isolation_level=None)) as database:
        _take_off_guards(database)
        tables = [name for (name,) in database.execute(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND sql NOT LIKE 'CREATE VIRTUAL%' AND name NOT LIKE '%fts%'"
        )]  # fmt: skip
        for _ in range(random.choice((1, 1, 2))):
            table = random.choice(tables)
            column = random.choice([row[1] for row in database.execute(f'PRAGMA table_info("{table}")')])
            value = random.choice((*_CELLS, *_pieces(database, table, column)))
            try:
                database.execute(
                    f'UPDATE "{table}" SET "{column}" = ? WHERE rowid IN '  # noqa: S608 - names from the schema
                    f'(SELECT rowid FROM "{table}" ORDER BY rowid LIMIT 1 OFFSET ?)',
                    (value, random.randrange(3)),
                )
            except sqlite3.Error:
                continue
            done.append(f"{table}.{column} = {value!r:.60}")
    return "; ".join(done) or "nothing"


def _take_off_guards(database: sqlite3.Connection) -> None:
    for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        database.execute(f'DROP TRIGGER "{name}"')
    database.execute("PRAGMA ignore_check_constraints = ON")


def _pieces(database: sqlite3.Connection, table: str, column: str) -> Sequence[object]:
    """Halves of what stands in the column: JSON cut short, keys that lead nowhere."""
    found = database.execute(f'SELECT "{column}" FROM "{table}" LIMIT 3').fetchall()  # noqa: S608 - names from the schema
    return [value[: len(value) // 2] for (value,) in found if isinstance(value, str)]
