"""All items of a register as a source of rows, whatever their number: seats in order, rows when they are seen."""

from array import array
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from appreg.core.dates_in_words import date_words
from appreg.core.uids import Uid
from appreg.register.register_file import Register
from appreg.register.row_windows import (
    ITEM_COLUMNS,
    RowFilter,
    ordered_rowids,
    rowid_of,
    rows_by_rowid,
    uids_by_rowid,
)
from appreg.register.seats_holding import seats_holding
from appreg.ui.widgets.row_sources import Arrangement, Row, RowView

FIRST_ROWS: Final = 64
"""Rows shown before the order of all is known."""
FEW: Final = 6
"""Up to this share of all rows, sorting what a filter found beats sifting all."""
NEVER: Final = "never"
"""Stands for the outcome of an item that was never inspected."""
_OUTCOME: Final = ITEM_COLUMNS.index("outcome")
_DATES: Final = frozenset(ITEM_COLUMNS.index(name) for name in ("last_date", "next_visual", "next_test"))


class SeatView:
    """The items of one arrangement; a row is named by its seat."""

    def __init__(self, register: Register, seats: "array[int]") -> None:
        self._register = register
        self._seats = seats

    def __len__(self) -> int:
        """Count the items."""
        return len(self._seats)

    def rows(self, start: int, stop: int) -> Sequence[Row]:
        """Read the items in some places, dates in words."""
        return [_in_words(row) for row in rows_by_rowid(self._register, self._seats[start:stop])]

    def key(self, index: int) -> str:
        """Return the seat in a place."""
        return str(self._seats[index])

    def index_of(self, key: str) -> int | None:
        """Return the place of a seat."""
        try:
            return self._seats.index(int(key))
        except ValueError:
            return None


class SeatOrder:
    """All seats of a list in one order; what a filter keeps is taken from it in that order."""

    def __init__(self, column: str, seats: "array[int]", *, descending: bool) -> None:
        self.sorted_by = (column, descending)
        self.seats = seats
        self._places: array[int] | None = None

    def kept(self, holding: frozenset[int]) -> "array[int]":
        """Return the seats that a filter lets through: few are sorted by their place, many are sifted."""
        if len(holding) * FEW > len(self.seats):
            return array("q", filter(holding.__contains__, self.seats))
        places = self._places_by_seat()
        known = (seat for seat in holding if seat < len(places) and places[seat] >= 0)
        return array("q", sorted(known, key=places.__getitem__))

    def _places_by_seat(self) -> "array[int]":
        if self._places is None:
            places = array("q", [-1]) * (max(self.seats, default=0) + 1)
            for place, seat in enumerate(self.seats):
                places[seat] = place
            self._places = places
        return self._places


class RegisterRows:
    """The items of a register, all or those of a filter; arranged in a thread on a connection of its own."""

    slow = True

    def __init__(self, register: Register, kept: RowFilter | None = None) -> None:
        self._register = register
        self._kept = kept or RowFilter()
        self._order: SeatOrder | None = None

    def opening(self, arrangement: Arrangement) -> RowView | None:
        """Return the first rows of the usual order, which an index gives at once."""
        if arrangement != Arrangement():
            return None
        return SeatView(self._register, ordered_rowids(self._register, filter=self._kept, limit=FIRST_ROWS))

    def arranged(self, arrangement: Arrangement) -> RowView:
        """Return all items in the order asked for that hold the words typed."""
        with self._register.reopen() as own:
            order = self._in_order(own, arrangement)
            seats = order.seats
            if arrangement.text.strip():
                seats = order.kept(seats_holding(own, arrangement.text))
        return SeatView(self._register, seats)

    def _in_order(self, own: Register, arrangement: Arrangement) -> SeatOrder:
        """Return all seats in the order asked for, kept from the letter before where it is the same."""
        order = self._order
        if order is None or order.sorted_by != (arrangement.column, arrangement.descending):
            column, descending = arrangement.column, arrangement.descending
            seats = ordered_rowids(own, sort=column, descending=descending, filter=self._kept)
            order = SeatOrder(column, seats, descending=descending)
            self._order = order
        return order

    def items(self, keys: Iterable[str]) -> tuple[Uid, ...]:
        """Return the appliances behind some keys."""
        return tuple(uids_by_rowid(self._register, [int(key) for key in keys]))

    def key_of(self, item: Uid) -> str | None:
        """Return the key of an appliance."""
        seat = rowid_of(self._register, item)
        return None if seat is None else str(seat)


def _in_words(row: Row) -> Row:
    cells = list(row)
    for place in _DATES:
        if cells[place]:
            cells[place] = date_words(date.fromisoformat(cells[place]))
    cells[_OUTCOME] = cells[_OUTCOME] or NEVER
    return cells
