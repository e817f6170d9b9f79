"""What no version of the program writes into a cell, and every cell it can be put into."""

import re
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Final

from tests.register.tampering import SHADOWS, Alter, tables_of

ODD: Final = {
    "nothing": "NULL",
    "a number": "7",
    "the largest number": "9223372036854775807",
    "the smallest number": "-9223372036854775808",
    "a fraction": "0.5",
    "beyond any number": "9e999",
    "bytes": "x'00ff41'",
    "no bytes": "x''",
    "bytes that are no text": "CAST(x'ff41' AS TEXT)",
    "half a character": "CAST(x'eda080' AS TEXT)",
    "text with an end in it": "'a' || char(0) || 'b'",
    "no text": "''",
    "brackets without end": "replace(hex(zeroblob(60000)), '00', '[')",
    "an object without end": "replace(hex(zeroblob(20000)), '00', '{\"a\":')",
    "a number without end": "'{\"name\":1' || hex(zeroblob(5000)) || '}'",
    "nothing in JSON": "'{}'",
    "not finite in JSON": "'{\"name\":NaN}'",
}
"""By what it is: an expression that gives it, whatever the column says of types."""
GUIDE: Final = "appliance_text_idx"
"""Only tells SQLite where in the index to begin; in a short index it begins in the right place whatever stands there."""


def columns_of(path: Path) -> list[tuple[str, str, int]]:
    """Each table and column, with the rowid of a row in the middle; for tables without, its number in order."""
    with closing(sqlite3.connect(path)) as raw:
        return [
            (table, row[1], raw.execute(f'SELECT count(*) FROM "{table}"').fetchone()[0] // 2)
            for table in (*tables_of(raw), *SHADOWS)
            for row in raw.execute(f'PRAGMA table_info("{table}")')
        ]


def put(table: str, column: str, place: int, value: str) -> Alter:
    """Put the value of an expression into a cell."""
    key = {"appliance_text_idx": "term", "appliance_text_config": "k"}.get(table, "rowid")

    def alter(raw: sqlite3.Connection) -> None:
        ((row,),) = raw.execute(f'SELECT {key} FROM "{table}" ORDER BY {key} LIMIT 1 OFFSET ?', (place,)).fetchall()
        raw.execute(f'UPDATE "{table}" SET "{column}" = {value} WHERE {key} = ?', (row,))

    return alter


def as_it_was(path: Path, table: str, column: str, place: int, value: str) -> bool:
    """Tell whether the value stands there anyway."""
    with closing(sqlite3.connect(path)) as raw:
        key = {"appliance_text_idx": "term", "appliance_text_config": "k"}.get(table, "rowid")
        ((same,),) = raw.execute(
            f'SELECT "{column}" IS {value} FROM "{table}" ORDER BY {key} LIMIT 1 OFFSET ?', (place,)
        ).fetchall()
        return bool(same)


def finds_everything(path: Path) -> bool:
    """Tell whether every item is found by every word of it."""
    with closing(sqlite3.connect(path)) as raw:
        words = [
            (ordinal, word)
            for ordinal, *texts in raw.execute("SELECT ordinal, tag, name, make, model, serial FROM appliance")
            for text in texts
            for word in re.findall(r"\w+", text)
        ]
        assert words
        finds = "SELECT 1 FROM appliance_text WHERE appliance_text MATCH ? AND rowid = ?"
        return all(raw.execute(finds, (f'"{word}"', ordinal)).fetchone() for ordinal, word in words)


def content_of(path: Path) -> object:
    """Everything that can be read out of a file but how SQLite words the tables of its search index."""
    with closing(sqlite3.connect(path)) as raw:
        raw.text_factory = bytes
        schema = raw.execute("SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY name").fetchall()
        tables = [name.decode() for kind, name, _, sql in schema if kind == b"table" and sql]
        worded = [row if row[1].decode() not in SHADOWS else row[:3] for row in schema]
        return worded, [raw.execute(f'SELECT * FROM "{table}"').fetchall() for table in tables]
