"""What the databases say differently in SQL that is otherwise common to them, each a named fragment; and SQLite's own way."""

from collections.abc import Callable, Collection, Container, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from appreg.core.values.asset_tags import tag_order
from appreg.core.values.searched_words import words_of

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect

_LONGEST: Final = 200
"""Characters of a query that are looked at."""


SEARCHED: Final = ("tag", "name", "make", "model", "serial")
"""The fields of an item that hold the words it is found by."""


class Derived(NamedTuple):
    """A column that is worked out from fields and kept beside them: the journal does not tell it."""

    fields: tuple[str, ...]
    work_out: Callable[..., str]


def derived_cells(dialect: "Dialect", table: str, row: Mapping[str, Any], changed: Container[str]) -> dict[str, str]:
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

    def among(self, column: str, values: Collection[Any]) -> tuple[str, list[Any]]:
        """A mark for each."""
        return f"{column} IN ({', '.join('?' * len(values))})", [*values]

    def holds(self, column: str) -> str:
        """LIKE takes capitals of ASCII as small."""
        return f"{column} LIKE ? ESCAPE '\\'"

    def words_match(self, text: str, field: str = "") -> tuple[str, list[str]] | None:
        """Ask the search index alone: what it names needs no look at the item."""
        query = phrase_query(text)
        if not query:
            return None
        where = f"{field} : {query}" if field else query
        return "SELECT rowid AS seat FROM appliance_text WHERE appliance_text MATCH ?", [where]

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


def evened(values: Sequence[Any]) -> Sequence[Any]:
    """The values, the last said again until they are a power of two: of each length is a statement, and the driver keeps a hundred.

    One that names two thousand takes half a megabyte.
    """
    return [*values, *[values[-1]] * ((1 << (len(values) - 1).bit_length()) - len(values))] if values else values


def inserted(table: str, columns: Sequence[str]) -> str:
    """The statement that inserts a row."""
    listed = ", ".join(f'"{name}"' for name in columns)
    return f'INSERT INTO "{table}" ({listed}) VALUES ({", ".join("?" * len(columns))})'


def phrase_query(text: str) -> str:
    """Words that stand side by side as a query that cannot fail, the last one the start of a word; empty where there are none."""
    plain = "".join(character if character.isprintable() else " " for character in text[:_LONGEST])
    return '"' + plain.replace('"', '""') + '"*' if words_of(plain) else ""


SQLITE: Final = SqliteDialect()
