"""Where each label lies: plain geometry, no drawing."""

from collections.abc import Iterator

from msgspec import Struct

from appreg.errors import InputRefused
from appreg.paper.labels.label_stock import Stock


class Place(Struct, frozen=True, kw_only=True):
    """One label's rectangle; mm from the sheet's top left corner."""

    sheet: int
    """Counted from 1."""
    position: int
    """On the sheet, counted from 1, along the rows."""
    x_mm: float
    y_mm: float
    w: float
    h: float


def place_labels(stock: Stock, count: int, start: int = 1) -> list[Place]:
    """Lay out labels along the rows from a position (1: top left); raises InputRefused for a position not on the sheet."""
    return list(iterate_places(stock, count, start))


def iterate_places(stock: Stock, count: int, start: int = 1) -> Iterator[Place]:
    """Yield the places one by one; see place_labels."""
    if not 1 <= start <= stock.places:
        raise InputRefused(f"Position {start} is not on the sheet: {stock.title} has positions 1 to {stock.places}.")
    for index in range(start - 1, start - 1 + count):
        sheet, position = divmod(index, stock.places)
        row, column = divmod(position, stock.columns)
        yield Place(
            sheet=sheet + 1,
            position=position + 1,
            x_mm=stock.left + column * stock.pitch_x,
            y_mm=stock.top + row * stock.pitch_y,
            w=stock.label_width,
            h=stock.label_height,
        )


def sheets_needed(stock: Stock, count: int, start: int = 1) -> int:
    """Count the sheets that so many labels touch."""
    return -(-(start - 1 + count) // stock.places) if count else 0


def next_free(stock: Stock, count: int, start: int = 1) -> int:
    """Return the first free position after so many labels (1 where the last sheet is full)."""
    return (start - 1 + count) % stock.places + 1
