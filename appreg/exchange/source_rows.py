"""One row of a table from elsewhere, and the bounds of such tables."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.given_files import GivenFileRefused

MOST_BYTES: Final = 64_000_000
"""Of a file; 100 000 items with all they have come to some 20 MB."""
MOST_LINES: Final = 1_048_576
"""As many as one sheet holds (Excel specifications and limits, published)."""
MOST_COLUMNS: Final = 1000
LONGEST_CELL: Final = 32_767
"""Characters, as a cell of a sheet holds (published there too)."""


class SourceRow(Struct, frozen=True, kw_only=True, gc=False):
    """One row, its cells as texts."""

    line: int
    """From 1: where it begins in the file or the sheet."""
    cells: tuple[str, ...]
    exact: frozenset[int] = frozenset()
    """The places, from 0, of cells that the file itself holds as figures or days: decimal point, ISO 8601."""


def refuse_row(path: Path, line: int, cells: Sequence[str]) -> None:
    """Raise GivenFileRefused for a row beyond all bounds."""
    if len(cells) > MOST_COLUMNS:
        raise GivenFileRefused(
            path,
            f"has {len(cells)} columns on line {line}, of which {MOST_COLUMNS} can be read",
            "check that it is a table, or take the columns out that nobody needs",
        )
    if sum(map(len, cells)) > LONGEST_CELL and max(map(len, cells)) > LONGEST_CELL:
        raise too_long(path, line)


def too_long(path: Path, line: int) -> GivenFileRefused:
    """The refusal of a cell that is too long, mostly one whose closing quote is missing."""
    return GivenFileRefused(
        path,
        f"has a cell of more than {LONGEST_CELL} characters on line {line}",
        "close its quotes, or check that it is a table",
    )
