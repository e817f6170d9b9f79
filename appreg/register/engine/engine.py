"""What a register asks of the database it is kept in, whichever that is; only types, which nothing loads when it runs."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any, Protocol

from appreg.register.engine.dialect import Derived

Parameters = Sequence[Any] | Mapping[str, Any]
Ask = Callable[[str, Parameters], list[tuple[Any, ...]]]
"""Runs a query and gives its rows."""


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

    def among(self, column: str, values: Collection[Any]) -> tuple[str, list[Any]]:
        """The condition, with its parameters, that a column holds one of some values."""

    def holds(self, column: str) -> str:
        """The condition that a text matches a pattern of LIKE, small letters for capitals or not."""

    def words_match(self, text: str, field: str = "") -> tuple[str, list[str]] | None:
        """The rows, with their parameters, of the seats of items that hold words side by side, the last as the start of one.

        In one field where one is named. None where nothing is a word, and where the database cannot tell fields apart.
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


class Engine(Protocol):
    """One connection to the database of a register, used by one thread."""

    dialect: Dialect
    path: Path
    """The file, or what stands for one in the names of what is kept beside a register."""
    note: Callable[[str, str], None]
    """Told, with a key, what could not be read where reading went on."""

    @property
    def name(self) -> str:
        """What it is called where there is little room."""

    @property
    def place(self) -> str:
        """Where the register is, as sentences name it."""

    @property
    def read_only(self) -> str:
        """Why nothing can be saved, in a few words; empty where it can."""

    @property
    def raw(self) -> Any:
        """The driver's own connection."""

    @property
    def database(self) -> Any:
        """Peewee's door to the connection, made when something is first written."""

    def sentences(self) -> AbstractContextManager[None]:
        """Turn what the database complains of into AppregErrors."""

    def rows(self, statement: str, parameters: Parameters = ()) -> list[tuple[Any, ...]]:
        """The rows of a query."""

    def stream(self, statement: str, parameters: Parameters = ()) -> Iterator[tuple[Any, ...]]:
        """The rows of a query one at a time, for lists too long to hold."""

    def put_rows(self, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
        """Insert any number of rows at the speed of bulk loading."""

    def set_rows(self, table: str, columns: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
        """Set some columns of any number of rows, each told once: their cells, and its key behind them."""

    def transaction(self) -> AbstractContextManager[None]:
        """Nobody else writes until the block ends; what it did is saved then, or undone where it fails."""

    def hold(self) -> None:
        """From here on read everything as it stands now, whatever others write."""

    def release(self) -> None:
        """Read on as it is at each moment."""

    def attempt(self, *, together: bool = False) -> AbstractContextManager[None]:
        """Within a transaction: what is refused in the block is told in a sentence, and leaves all before it as it was.

        `together`: what needs no answer may be sent with what follows; there are neither streams nor bulk rows in the block.
        """

    def unguarded(self, table: str) -> AbstractContextManager[None]:
        """Within a transaction: lift what keeps a table's rows from being changed, while a journal is laid anew."""

    def refer_later(self) -> None:
        """Within a transaction: look only at its end whether every record that is named is there."""

    def look(self) -> str:
        """One sentence where what was opened no longer stands at its place; empty where it does."""

    def others_saved(self) -> bool:
        """Tell whether anybody else has saved since this was last asked, at once and whatever stands in the way."""

    def tune(self) -> None:
        """Have the database look at the data again, so that its plans fit."""

    def again(self) -> "Engine":
        """The same once more, for another thread."""

    def close(self) -> None:
        """Give the connection up."""
