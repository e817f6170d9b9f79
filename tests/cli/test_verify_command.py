"""`appreg verify` on the demo: sound as built, and wrong, with the place named, after any cell changed behind its back."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import fields
from pathlib import Path
from typing import Any, Final

import pytest

from appreg.cli.main import main
from appreg.core.records import FindingRecord, Inspection
from tests.cli.conftest import Call

COLUMNS: Final = [
    *(("inspection", each.name) for each in fields(Inspection)),
    *(("finding", each.name) for each in fields(FindingRecord)),
]
LIKELY: Final = {"finding": "pass", "outcome": "pass", "reading": "0.05", "date": "2024-02-29", "limit_high": "9.99"}
"""What somebody who wants a better result would write; every other cell is changed to something of its kind."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo as the command builds it, whole in one file."""
    path = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    assert main(["demo", "--no-ui", "--register", str(path)]) == 0
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


@contextmanager
def behind_its_back(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection on which no check, reference or trigger stands in the way; the triggers are put back afterwards."""
    with closing(sqlite3.connect(path, isolation_level=None)) as raw:
        raw.execute("PRAGMA ignore_check_constraints = ON")
        raw.execute("PRAGMA foreign_keys = OFF")
        triggers = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        assert triggers
        for name, _ in triggers:
            raw.execute(f'DROP TRIGGER "{name}"')
        try:
            yield raw
        finally:
            for _, sql in triggers:
                raw.execute(sql)


def failed_row(raw: sqlite3.Connection, table: str) -> int:
    """A row that somebody might want to look better."""
    failed = "outcome" if table == "inspection" else "limit_high IS NOT NULL AND finding"
    ((rowid,),) = raw.execute(f"SELECT max(rowid) FROM {table} WHERE {failed} = 'fail'").fetchall()  # noqa: S608 - our names
    return int(rowid)


def other_than(column: str, value: Any) -> Any:
    likely = LIKELY.get(column)
    if likely is not None and likely != value:
        return likely
    return "X" if value is None else value + 1000 if isinstance(value, int) else f"{value}X"


def test_the_demo_as_built_is_sound(demo: Path, call: Call) -> None:
    answer = call("verify", "--register", demo)
    assert (answer.code, answer.err) == (0, "")
    assert answer.out == f"{demo}: sound; the journal is unbroken and agrees with the tables.\n"


@pytest.mark.parametrize(("table", "column"), COLUMNS, ids=lambda part: part)
def test_a_cell_changed_behind_its_back_is_named(demo: Path, call: Call, table: str, column: str) -> None:
    with behind_its_back(demo) as raw:
        rowid = failed_row(raw, table)
        read = f'SELECT "{column}", uid FROM {table} WHERE rowid = ?'  # noqa: S608 - our names
        write = f'UPDATE {table} SET "{column}" = ? WHERE rowid = ?'  # noqa: S608 - our names
        before, uid = raw.execute(read, (rowid,)).fetchone()
        raw.execute(write, (other_than(column, before), rowid))
        assert raw.execute(read, (rowid,)).fetchone()[0] != before
    try:
        answer = call("verify", "--register", demo)
    finally:
        with behind_its_back(demo) as raw:
            raw.execute(write, (before, rowid))
    assert (answer.code, answer.err) == (1, "")
    told = [line for line in answer.out.splitlines() if line.startswith(f"table {table}, row {uid}")]
    assert told, answer.out
    # Where the key itself is changed, the row is told to be gone.
    wanted = "no longer in its table" if column == "uid" else f", column {column}: "
    assert any(wanted in line for line in told), answer.out


def test_what_was_put_back_is_sound_again(demo: Path, call: Call) -> None:
    assert call("verify", "--register", demo).code == 0
    assert call("verify", "--register", demo, "--json").code == 0
