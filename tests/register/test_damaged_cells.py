"""Cells that hold what no version of the program writes: of another type, no text, endless: said by the check, never thrown."""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from random import Random
from typing import Final

import pytest

from tests.register.sample_register import build_register
from tests.register.tampering import SHADOWS, Alter, Tampering, tables_of

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
_TALLIED: Final = ("journal", "register_meta", "migration")
_GUIDE: Final = "appliance_text_idx"
"""Only tells SQLite where in the index to begin; in a short index it begins in the right place whatever stands there."""
_ELSEWHERE: Final = 2
"""Of these values each column of the other tables gets so many, the dice say which; all of them in tests.campaign."""


@pytest.fixture(scope="module")
def untouched(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("register") / "r.appreg"
    with build_register(path) as register:
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


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


def _finds_everything(path: Path) -> bool:
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


def _cases(path: Path) -> Iterator[tuple[str, str, int, str]]:
    chance = Random(8)
    for table, column, place in columns_of(path):
        values = ODD if table in _TALLIED else chance.sample(list(ODD), _ELSEWHERE)
        yield from ((table, column, place, what) for what in values)


def test_a_cell_of_any_type_in_any_column_is_reported_and_never_thrown(untouched: Path, tmp_path: Path) -> None:
    tampering = Tampering(untouched, tmp_path, any_type=True)
    assert tampering.found(lambda _: None) == []
    tried = 0
    for table, column, place, what in _cases(untouched):
        if as_it_was(untouched, table, column, place, ODD[what]):
            continue
        try:
            found = tampering.found(put(table, column, place, ODD[what]))
        except sqlite3.IntegrityError:
            continue  # another row has that key
        tried += 1
        assert found or (table == _GUIDE and _finds_everything(tampering.last)), (table, column, what)
        for problem in found:
            assert "\n" not in problem.sentence, problem
            assert problem.sentence.endswith("."), problem
            assert len(problem.sentence) < 1000, problem
            assert problem.place
    assert tried > 500
