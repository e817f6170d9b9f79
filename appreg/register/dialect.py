"""What the databases say differently in SQL that is otherwise common to them, each a named fragment; and SQLite's own way."""

from collections.abc import Callable, Container, Mapping
from typing import Any, Final, NamedTuple, Protocol

from appreg.core.asset_tags import tag_order

_LONGEST: Final = 200
"""Characters of a query that are looked at."""


class Derived(NamedTuple):
    """A column that is worked out from fields and kept beside them: the journal does not tell it."""

    fields: tuple[str, ...]
    work_out: Callable[..., str]


class Dialect(Protocol):
    """The fragments; columns are given as the query names them, values always go in as parameters."""

    @property
    def derived(self) -> Mapping[str, Mapping[str, Derived]]:
        """The columns kept beside the fields, by table."""

    def marked(self, statement: str) -> str:
        """The statement with the driver's marks in place of ? and :name."""

    def folded(self, column: str) -> str:
        """A text with small and capital letters of ASCII alike; what it is compared with is to be small."""

    def unindexed(self, column: str) -> str:
        """A column whose own index is to be passed over for another."""

    def by_index(self, index: str) -> str:
        """Said after a table: read it by that index."""

    def holds(self, column: str) -> str:
        """The condition that a text matches a pattern of LIKE, small letters for capitals or not."""

    def words_match(self, alias: str, text: str) -> tuple[str, list[str]] | None:
        """The condition, with its parameters, that an item holds each word typed as the start of one of its own.

        None where nothing that was typed is a word.
        """

    def joined_words(self, column: str) -> str:
        """The texts of a group with spaces between."""

    def one_list(self, column: str, rows: str) -> str:
        """A query of one cell: a column of whole numbers as JSON; a row for each would take the interpreter's lock each time."""

    def later(self, one: str, other: str) -> str:
        """The later of two texts."""

    def no_day(self, column: str) -> str:
        """The condition that a text is no day of the calendar as the program writes it."""

    @property
    def few_first(self) -> str:
        """Joins a table after one with few rows, which is to be read first."""


def derived_cells(dialect: Dialect, table: str, row: Mapping[str, Any], changed: Container[str]) -> dict[str, str]:
    """What is kept beside the fields of a row, as far as it follows from those that changed."""
    return {
        name: each.work_out(*(row[field] for field in each.fields))
        for name, each in dialect.derived.get(table, {}).items()
        if any(field in changed for field in each.fields)
        and all(isinstance(row.get(field), str) for field in each.fields)
    }


TAG_KEY: Final = {"tag_key": Derived(("tag",), tag_order)}


class SqliteDialect:
    """As SQLite has it."""

    few_first: Final = "CROSS JOIN"
    derived: Mapping[str, Mapping[str, Derived]] = {"appliance": TAG_KEY}

    def marked(self, statement: str) -> str:
        """As it is."""
        return statement

    def folded(self, column: str) -> str:
        """Compare by a collation, which the indexes have too."""
        return f"{column} COLLATE NOCASE"

    def unindexed(self, column: str) -> str:
        """With a sign before it a column is an expression to the planner."""
        return f"+{column}"

    def by_index(self, index: str) -> str:
        """Name it."""
        return f" INDEXED BY {index}"

    def holds(self, column: str) -> str:
        """LIKE takes capitals of ASCII as small."""
        return f"{column} LIKE ? ESCAPE '\\'"

    def words_match(self, alias: str, text: str) -> tuple[str, list[str]] | None:
        """Ask the search index."""
        query = web_query(text)
        if not query:
            return None
        return f"{alias}.ordinal IN (SELECT rowid FROM appliance_text WHERE appliance_text MATCH ?)", [query]

    def joined_words(self, column: str) -> str:
        """Gather them."""
        return f"group_concat({column}, ' ')"

    def one_list(self, column: str, rows: str) -> str:
        """Gather them."""
        return f"SELECT json_group_array({column}) FROM ({rows})"

    def later(self, one: str, other: str) -> str:
        """The larger as text."""
        return f"max({one}, {other})"

    def no_day(self, column: str) -> str:
        """Only a sum turns 31 February down."""
        return f"date({column}, '+0 days') IS NOT {column}"


def web_query(text: str) -> str:
    """What was typed as a query that cannot fail: words quoted, each the start of a word; empty when none is there."""
    terms = []
    for term in text[:_LONGEST].split():
        plain = "".join(character for character in term if character.isprintable())
        if any(character.isalnum() for character in plain):
            terms.append('"' + plain.replace('"', '""') + '"*')
    return " ".join(terms)


SQLITE: Final = SqliteDialect()
