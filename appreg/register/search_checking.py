"""The search index checked: against the appliances, in its own tables, and whether it finds every word that it holds."""

import sqlite3
from collections.abc import Iterator
from typing import Final

from appreg.errors import PUT_BACK
from appreg.register.register_file import Register
from appreg.register.register_problems import Problem

_INDEX: Final = "appliance_text"
_BEFORE_ALL: Final = b"0"
"""Each word stands in the index behind this letter."""
_TYPES: Final = {
    "data": (("id", "integer"), ("block", "blob")),
    "idx": (("segid", "integer"), ("term", "blob"), ("pgno", "integer")),
    "docsize": (("id", "integer"), ("sz", "blob")),
    "config": (("k", "text"), ("v", "integer")),
}
"""What the columns of its own tables hold."""


def search_problems(register: Register) -> Iterator[Problem]:
    """Where the index and the appliances disagree, or a word is there and is not found."""
    try:
        # SQLite takes this question as an insert that inserts nothing.
        register.connection.execute(f"INSERT INTO {_INDEX} ({_INDEX}, rank) VALUES ('integrity-check', 1)")
    except sqlite3.ProgrammingError:
        raise
    except sqlite3.DatabaseError as error:
        if "locked" in str(error) or "readonly" in str(error):
            yield Problem(
                table=_INDEX,
                sentence="The search index could not be checked, as another program is writing; check again later.",
            )
            return
        yield _problem(f"does not agree with the appliances ({error})", column="ordinal")
        return
    yield from _odd_cells(register)
    yield from _lost_words(register)


def _odd_cells(register: Register) -> Iterator[Problem]:
    for part, columns in _TYPES.items():
        for column, kind in columns:
            odd = f'SELECT 1 FROM {_INDEX}_{part} WHERE typeof("{column}") != ? LIMIT 1'
            if register.rows(odd, (kind,)):
                yield _problem(f"holds something else than it should as {column} in {_INDEX}_{part}")


def _lost_words(register: Register) -> Iterator[Problem]:
    """SQLite finds a word by way of a table that its own check does not look at closely."""
    if register.rows(f"SELECT 1 FROM {_INDEX}_idx WHERE term > x'' AND term <= ?", (_BEFORE_ALL,)):
        # Not even a list of all words would begin where it should.
        yield _problem("begins in the wrong place")
    register.connection.execute(f"CREATE VIRTUAL TABLE temp.words USING fts5vocab(main, {_INDEX}, 'row')")
    lost = register.rows(
        f"SELECT count(*) FROM temp.words WHERE doc != (SELECT count(*) FROM {_INDEX} "
        f"WHERE {_INDEX} MATCH '\"' || replace(term, '\"', '\"\"') || '\"')"
    )[0][0]
    register.connection.execute("DROP TABLE temp.words")
    if lost:
        yield _problem(f"does not find {lost} of the words that it holds")


def _problem(fault: str, *, column: str = "") -> Problem:
    return Problem(table=_INDEX, column=column, sentence=f"The search index {fault}; {PUT_BACK}.")
