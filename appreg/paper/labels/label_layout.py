"""Where each label lies: plain geometry, no drawing."""

from collections.abc import Iterator, Sequence

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


class Start(Struct, frozen=True, kw_only=True):
    """Where labels begin on a part sheet, and which of its places are gone already."""

    at: int = 1
    """The first free position."""
    used: frozenset[int] = frozenset()
    """Positions of the first sheet, after that, that are used too."""

    def is_free(self, sheet: int, position: int) -> bool:
        """Tell whether a label can be printed on a place."""
        return sheet > 1 or (position >= self.at and position not in self.used)


def iterate_places(stock: Stock, counts: Sequence[int], start: Start) -> Iterator[Place]:
    """Yield the places of one group of labels after another along the rows, each group beginning a new sheet.

    Raises InputRefused for a position that is not on the sheet, or a first sheet without a free place.
    """
    _require_free(stock, start)
    sheet, position = 1, 1
    for group, count in enumerate(counts):
        if group:
            sheet, position = sheet + 1, 1
        for _ in range(count):
            while position > stock.places or not start.is_free(sheet, position):
                sheet, position = (sheet + 1, 1) if position >= stock.places else (sheet, position + 1)
            yield _place(stock, sheet, position)
            position += 1


def place_labels(stock: Stock, count: int, start: int = 1) -> list[Place]:
    """Lay out one group of labels from a position (1: top left) on; see iterate_places."""
    return list(iterate_places(stock, [count], Start(at=start)))


def sheets_needed(stock: Stock, counts: Sequence[int], start: Start) -> int:
    """Count the sheets that so many labels touch."""
    return max((place.sheet for place in iterate_places(stock, counts, start)), default=0)


def next_free(stock: Stock, last: Place | None, start: Start) -> int:
    """Return the first free position of the sheet after its last label; 1 where it is full."""
    if last is None:
        return start.at
    after = range(last.position + 1, stock.places + 1)
    return next((position for position in after if start.is_free(last.sheet, position)), 1)


def has_free(stock: Stock, start: Start) -> bool:
    """Tell whether a label can be printed anywhere on the first sheet."""
    return any(start.is_free(1, position) for position in range(1, stock.places + 1))


def _require_free(stock: Stock, start: Start) -> None:
    for position in (start.at, *sorted(start.used)):
        if not 1 <= position <= stock.places:
            raise InputRefused(
                f"Position {position} is not on the sheet: {stock.title} has positions 1 to {stock.places}."
            )
    if not has_free(stock, start):
        raise InputRefused("No place of the first sheet is free; take a new sheet and start at place 1.")


def _place(stock: Stock, sheet: int, position: int) -> Place:
    row, column = divmod(position - 1, stock.columns)
    return Place(
        sheet=sheet,
        position=position,
        x_mm=stock.left + column * stock.pitch_x,
        y_mm=stock.top + row * stock.pitch_y,
        w=stock.label_width,
        h=stock.label_height,
    )
