"""The register checked from end to end: file, references, tables, search index, journal, and state against journal."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from functools import cache, partial
from itertools import chain
from typing import Any, Final

from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.register.cell_words import key_words
from appreg.register.chain_checking import FollowedChain, chain_problems
from appreg.register.file_marks import NEWEST
from appreg.register.later_tables import MIGRATIONS
from appreg.register.record_kinds import KINDS_BY_TABLE
from appreg.register.register_errors import sentences
from appreg.register.register_file import Register
from appreg.register.register_problems import Problem, Progress, Stopped, Tally
from appreg.register.search_checking import search_problems
from appreg.register.state_checking import TABLES, table_problems
from appreg.register.wal_checking import wal_problems

__all__ = ["FollowedChain", "Problem", "problems"]

_SHADOWS: Final = tuple(f"appliance_text_{part}" for part in ("data", "idx", "docsize", "config"))
"""The search index's own tables, worded by the SQLite that made them."""
_SCHEMA: Final = (
    "SELECT type, name, tbl_name, sql FROM sqlite_master WHERE name NOT IN ('sqlite_stat1', 'sqlite_stat4')"
)
"""All but what SQLite has noted of the data for its own plans."""
_ANY_TEXT: Final = partial(str, encoding="utf-8", errors="surrogateescape")


def problems(
    register: Register, progress: Progress | None = None, followed: FollowedChain | None = None
) -> Iterator[Problem]:
    """Everything found wrong, as it is found; ends early when progress answers False.

    `followed` takes what the chain came to.
    """
    # The search index is checked by a statement that SQLite counts as writing.
    checked = register.copied() if register.read_only else register.reopen()
    told: set[Problem] = set()
    try:
        # A file damaged from outside may hold bytes that are no text; they must be found, not stumbled over.
        checked.connection.text_factory = _ANY_TEXT
        parts = _parts(checked, progress, followed or FollowedChain())
        for part in parts if register.read_only else chain((wal_problems(checked),), parts):
            for problem in _as_far_as_it_goes(checked, part):
                if problem not in told:
                    told.add(problem)
                    yield problem
    except Stopped:
        return
    finally:
        checked.close()


def _parts(register: Register, progress: Progress | None, followed: FollowedChain) -> Iterator[Iterator[Problem]]:
    yield search_problems(register)
    yield _beginning(register)
    tally = Tally(_total(register), progress)
    tally.tell()
    yield _file_problems(register)
    yield _reference_problems(register)
    yield _schema_problems(register)
    yield chain_problems(register, tally, followed)
    for table in TABLES:
        yield table_problems(register, tally, table)
    tally.finish()


def _as_far_as_it_goes(register: Register, part: Iterator[Problem]) -> Iterator[Problem]:
    """Where damage ends one part of the check, the others are done all the same."""
    try:
        with sentences(register.path):
            yield from part
    except RegisterUnusable as damage:
        yield Problem(table="(file)", sentence=str(damage))


def _beginning(register: Register) -> Iterator[Problem]:
    """From here on everything is seen as it is now, whatever others write."""
    register.connection.execute("BEGIN")
    yield from ()


def _total(register: Register) -> int:
    """Rows to be looked at; nought where they cannot be counted, which the check itself will say."""
    try:
        return sum(register.rows(f'SELECT count(*) FROM "{table}"')[0][0] for table in ("journal", *TABLES))
    except RegisterUnusable:
        return 0


def _file_problems(register: Register) -> Iterator[Problem]:
    for (message,) in register.rows("PRAGMA integrity_check"):
        if message != "ok":
            yield Problem(table="(file)", sentence=f"SQLite finds the file damaged ({message}); {PUT_BACK}.")


def _reference_problems(register: Register) -> Iterator[Problem]:
    for table, rowid, parent, number in register.rows("PRAGMA foreign_key_check"):
        if not KINDS_BY_TABLE[table].journalled:
            continue  # told, but no evidence
        column = next(row[3] for row in register.rows(f'PRAGMA foreign_key_list("{table}")') if row[0] == number)
        found = register.rows(f'SELECT uid FROM "{table}" WHERE rowid = ?', (rowid,))
        uid = key_words(found[0][0] if found else None)
        yield Problem(
            table=table, row=uid, column=column,
            sentence=f"{table} {uid}: the {parent} its {column} names is not there; {PUT_BACK}.",
        )  # fmt: skip


def _schema_problems(register: Register) -> Iterator[Problem]:
    expected = _expected_schema()
    found = _schema(register.rows(_SCHEMA))
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


@cache
def _expected_schema() -> dict[str, tuple[Any, ...]]:
    with closing(sqlite3.connect(":memory:")) as fresh:
        for migration in MIGRATIONS:
            for statement in (*migration.statements, *migration.afterwards):
                fresh.execute(statement)
        return _schema(fresh.execute(_SCHEMA).fetchall())


def _schema(rows: list[tuple[Any, ...]]) -> dict[str, tuple[Any, ...]]:
    return {str(name): (kind, table, None if name in _SHADOWS else sql) for kind, name, table, sql in rows}
