"""The register checked from end to end: file, references, tables, search index, journal, and state against journal."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from functools import partial
from typing import Any, Final

from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.register.chain_checking import chain_problems
from appreg.register.file_marks import NEWEST
from appreg.register.journal import Row, rebuilt_rows
from appreg.register.migrations import MIGRATIONS
from appreg.register.record_codec import Cell
from appreg.register.record_kinds import KINDS_BY_TABLE
from appreg.register.register_errors import sentences
from appreg.register.register_file import Register
from appreg.register.register_problems import Problem, Progress, Stopped, Tally

__all__ = ["Problem", "problems"]

_BOOKS: Final = {
    "register_meta": ("key", ("value",), "WHERE key NOT GLOB 'head:*'"),
    "migration": ("number", ("name", "applied"), ""),
}
"""The tables beside the records: key, columns, and which rows the journal covers."""
_SCHEMA: Final = "SELECT name, sql FROM sqlite_master WHERE name NOT GLOB 'sqlite_*' AND NOT (type = 'table' AND name GLOB 'appliance_text_*')"
"""The search index's own tables are worded by the SQLite that made them."""
_SHOWN: Final = 60
_ANY_TEXT: Final = partial(str, encoding="utf-8", errors="surrogateescape")


def problems(register: Register, progress: Progress | None = None) -> Iterator[Problem]:
    """Everything found wrong, as it is found; ends early when progress answers False."""
    # The search index is checked by a statement that SQLite counts as writing.
    checked = register.copied() if register.read_only else register.reopen()
    try:
        # A file damaged from outside may hold bytes that are no text; they must be found, not stumbled over.
        checked.connection.text_factory = _ANY_TEXT
        with sentences(register.path):
            yield from _search_problems(checked)
            checked.connection.execute("BEGIN")
            tally = Tally(_total(checked), progress)
            tally.tell()
            yield from _file_problems(checked)
            yield from _reference_problems(checked)
            yield from _schema_problems(checked)
            yield from chain_problems(checked, tally)
            yield from _state_problems(checked, tally)
            tally.finish()
    except Stopped:
        return
    except RegisterUnusable as damage:
        yield Problem(table="(file)", sentence=str(damage))
    finally:
        checked.close()


def _total(register: Register) -> int:
    tables = ("journal", *_BOOKS, *KINDS_BY_TABLE)
    return sum(register.rows(f'SELECT count(*) FROM "{table}"')[0][0] for table in tables)


def _file_problems(register: Register) -> Iterator[Problem]:
    for (message,) in register.rows("PRAGMA integrity_check"):
        if message != "ok":
            yield Problem(table="(file)", sentence=f"SQLite finds the file damaged ({message}); {PUT_BACK}.")


def _reference_problems(register: Register) -> Iterator[Problem]:
    for table, rowid, parent, number in register.rows("PRAGMA foreign_key_check"):
        (column,) = (row[3] for row in register.rows(f'PRAGMA foreign_key_list("{table}")') if row[0] == number)
        ((uid,),) = register.rows(f'SELECT uid FROM "{table}" WHERE rowid = ?', (rowid,))
        yield Problem(
            table=table, row=uid, column=column,
            sentence=f"{table} {uid}: the {parent} its {column} names is not there; {PUT_BACK}.",
        )  # fmt: skip


def _schema_problems(register: Register) -> Iterator[Problem]:
    expected = _expected_schema()
    found = dict(register.rows(_SCHEMA))
    for name in sorted(expected.keys() | found.keys()):
        if found.get(name) != expected.get(name):
            fault = "is missing" if name not in found else "does not belong" if name not in expected else "was altered"
            yield Problem(
                table=name, sentence=f"{name} {fault} in the register's tables, indexes and triggers; "
                f"{PUT_BACK}.",
            )  # fmt: skip
    ((version,),) = register.rows("PRAGMA user_version")
    if version != NEWEST:
        yield Problem(table="(file)", sentence=f"The file says schema {version} instead of {NEWEST}; it was altered.")


def _expected_schema() -> dict[str, str | None]:
    with closing(sqlite3.connect(":memory:")) as fresh:
        for migration in MIGRATIONS:
            for statement in migration.statements:
                fresh.execute(statement)
        return dict(fresh.execute(_SCHEMA).fetchall())


def _search_problems(register: Register) -> Iterator[Problem]:
    """The index compared with the appliances; SQLite takes this question as an insert that inserts nothing."""
    try:
        register.connection.execute("INSERT INTO appliance_text (appliance_text, rank) VALUES ('integrity-check', 1)")
    except sqlite3.DatabaseError as error:
        if "locked" in str(error) or "readonly" in str(error):
            yield Problem(
                table="appliance_text",
                sentence="The search index could not be checked, as another program is writing; check again later.",
            )
            return
        yield Problem(
            table="appliance_text", column="ordinal",
            sentence=f"The search index does not agree with the appliances ({error}); {PUT_BACK}.",
        )  # fmt: skip


def _state_problems(register: Register, tally: Tally) -> Iterator[Problem]:
    for table, (key, columns, where) in _BOOKS.items():
        yield from _table_problems(register, tally, table, key=key, columns=columns, where=where)
    for table, kind in KINDS_BY_TABLE.items():
        yield from _table_problems(register, tally, table, key="uid", columns=kind.codec.names[1:], where="")


def _table_problems(
    register: Register, tally: Tally, table: str, *, key: str, columns: tuple[str, ...], where: str
) -> Iterator[Problem]:
    listed = ", ".join(f'"{name}"' for name in columns)
    rows = register.stream(f'SELECT CAST("{key}" AS TEXT) AS own_key, {listed} FROM "{table}" {where} ORDER BY own_key')
    try:
        yield from _differences(table, columns, rows, rebuilt_rows(register, table), tally)
    except RegisterUnusable as damage:
        yield Problem(table=table, sentence=str(damage))


def _differences(
    table: str, columns: tuple[str, ...], rows: Iterator[Any], told: Iterator[tuple[str, Row]], tally: Tally
) -> Iterator[Problem]:
    found = next(rows, None)
    expected = next(told, None)
    while found is not None or expected is not None:
        if expected is None or (found is not None and found[0] < expected[0]):
            yield _stray(table, found[0] if found else "", "is not in the journal")
            found = next(rows, None)
        elif found is None or expected[0] < found[0]:
            yield _stray(table, expected[0], "is in the journal but no longer in its table")
            expected = next(told, None)
        else:
            yield from _cell_problems(table, found[0], dict(zip(columns, found[1:], strict=True)), expected[1])
            found, expected = next(rows, None), next(told, None)
        tally.step()


def _cell_problems(table: str, key: str, found: Row, expected: Row) -> Iterator[Problem]:
    if found == expected:
        return
    for column in sorted(found.keys() | expected.keys()):
        if found.get(column) != expected.get(column):
            yield Problem(
                table=table, row=key, column=column,
                sentence=f"{table} {key}: {column} holds {_short(found.get(column))}, "
                f"but the journal says {_short(expected.get(column))}; it was altered behind the register's back.",
            )  # fmt: skip


def _stray(table: str, key: str, fault: str) -> Problem:
    return Problem(table=table, row=key, sentence=f"{table} {key} {fault}; it was altered behind the register's back.")


def _short(cell: Cell) -> str:
    text = "nothing" if cell is None else repr(cell)
    return text if len(text) <= _SHOWN else text[:_SHOWN] + "…"
