"""What is wrong with a register, said with its place and in words; and the count of how far a check has come."""

from typing import Final

from msgspec import Struct

from appreg.progress import Progress, tell

_STEP = 500
_STOPPED: Final = (
    "The check was stopped before its end and tells nothing, and nothing was kept or changed; "
    "start it again when there is time."
)


class Problem(Struct, frozen=True, kw_only=True):
    """One thing found wrong."""

    table: str
    row: str = ""
    """The row's key; for the journal, origin and sequence."""
    column: str = ""
    sentence: str

    @property
    def place(self) -> str:
        """Where it is: table, row and column, as far as they are known."""
        parts = [f"table {self.table}"]
        if self.row:
            parts.append(f"row {self.row}")
        if self.column:
            parts.append(f"column {self.column}")
        return ", ".join(parts)


class Tally:
    """Counts rows and tells the caller now and then."""

    def __init__(self, total: int, progress: Progress | None) -> None:
        self._total = total
        self._progress = progress
        self._done = 0

    def step(self) -> None:
        """One more row is done; raises Stopped when the caller has had enough."""
        self._done += 1
        if self._done % _STEP == 0:
            self.tell()

    def tell(self) -> None:
        """Tell how far it is now."""
        tell(self._progress, min(self._done, self._total), self._total, _STOPPED)

    def finish(self) -> None:
        """Everything is done."""
        self._done = self._total
        self.tell()


_SHOWN: Final = 60


def cell_words(cell: object) -> str:
    """The cell as a sentence names it."""
    text = "nothing" if cell is None else repr(cell[:_SHOWN] if isinstance(cell, (str, bytes)) else cell)
    return text if len(text) <= _SHOWN else text[:_SHOWN] + "…"


def key_words(key: object) -> str:
    """A key as it is where it could be one, otherwise put into words."""
    if isinstance(key, int) or (isinstance(key, str) and len(key) <= _SHOWN and key.isprintable()):
        return str(key)
    return cell_words(key)
