"""What a register asks of the database it is kept in, whichever that is."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Any, Protocol

from appreg.core.lean_dataclasses import dataclass
from appreg.register.dialect import Dialect

Parameters = Sequence[Any] | Mapping[str, Any]
Ask = Callable[[str, Parameters], list[tuple[Any, ...]]]
"""Runs a query and gives its rows."""


@dataclass(frozen=True, slots=True)
class ServerPlace:
    """Where a register in a database is."""

    address: str
    """As libpq takes it, without a password: postgresql://…"""
    beside: Path
    """Stands for the register where something is kept beside it, say its copies."""

    def __str__(self) -> str:
        """As sentences name it."""
        return self.address


Place = Path | ServerPlace
"""Where a register is kept: a file, or a database."""


def inserted(table: str, columns: Sequence[str]) -> str:
    """The statement that inserts a row."""
    listed = ", ".join(f'"{name}"' for name in columns)
    return f'INSERT INTO "{table}" ({listed}) VALUES ({", ".join("?" * len(columns))})'


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

    def transaction(self) -> AbstractContextManager[None]:
        """Nobody else writes until the block ends; what it did is saved then, or undone where it fails."""

    def hold(self) -> None:
        """From here on read everything as it stands now, whatever others write."""

    def release(self) -> None:
        """Read on as it is at each moment."""

    def attempt(self) -> AbstractContextManager[None]:
        """Within a transaction: what is refused in the block leaves all before it as it was."""

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
