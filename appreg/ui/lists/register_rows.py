"""All items of a register as a source of rows, whatever their number: seats in order, rows when they are seen."""

from array import array
from bisect import bisect_left
from collections.abc import Iterable, Sequence
from datetime import date
from functools import cached_property
from itertools import compress
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.list_queries import ListQuery, parse_query
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.register.lists.place_names import PlaceNames
from appreg.register.lists.row_windows import (
    DAMAGED,
    ITEM_COLUMNS,
    RowFilter,
    ordered_rowids,
    rowid_of,
    rows_by_rowid,
    uids_by_rowid,
)
from appreg.register.lists.search import seats_answering
from appreg.register.opening.register_file import Register
from appreg.ui.lists.row_sources import Arrangement, FiledRow, Row, RowView

FIRST_ROWS: Final = 64
"""Rows shown before the order of all is known."""
NOWHERE: Final = -1
"""Stands for the place of a seat that an order does not hold."""
NEVER: Final = "never"
"""Stands for the outcome of an item that was never inspected."""
STATED: Final = "stated"
"""Stands for the outcome of an item of which another states something, and nothing was found here."""
_OUTCOME: Final = ITEM_COLUMNS.index("outcome")
_LAST: Final = ITEM_COLUMNS.index("last_date")
_STATE: Final = ITEM_COLUMNS.index("state")
_NEXT: Final = (ITEM_COLUMNS.index("next_visual"), ITEM_COLUMNS.index("next_test"))
_DATES: Final = frozenset(ITEM_COLUMNS.index(name) for name in ("last_date", "next_visual", "next_test"))


class SeatOrder:
    """All seats of a list in one order; what a filter keeps of them is named by its places there."""

    def __init__(self, column: str, seats: "array[int]", *, descending: bool) -> None:
        self.sorted_by = (column, descending)
        self.seats = seats

    @cached_property
    def place_of(self) -> "array[int]":
        """The place of every seat; NOWHERE for one that is not in this order."""
        places = array("q", [NOWHERE]) * (max(self.seats, default=0) + 1)
        for place, seat in enumerate(self.seats):
            places[seat] = place
        return places

    def kept(self, holding: list[int]) -> Sequence[int]:
        """Return the places, in order, of the seats that a filter lets through."""
        place_of, marks = self.place_of, bytearray(len(self.seats) + 1)
        for place in map(place_of.__getitem__, (seat for seat in holding if seat < len(place_of))):
            marks[place] = True
        marks.pop()  # where NOWHERE has its mark
        return [*compress(range(len(self.seats)), marks)]

    def place(self, seat: int) -> int | None:
        """Return the place of a seat, or None where this order does not hold it."""
        place = self.place_of[seat] if 0 <= seat < len(self.place_of) else NOWHERE
        return None if place == NOWHERE else place


class SeatView:
    """The items in some places of an order; a row is named by its seat."""

    def __init__(self, register: Register, order: SeatOrder, places: Sequence[int]) -> None:
        self._register = register
        self._order = order
        self._places = places

    @property
    def total(self) -> int:
        """Count the items without the filter."""
        return len(self._order.seats)

    def __len__(self) -> int:
        """Count the items."""
        return len(self._places)

    def rows(self, start: int, stop: int) -> Sequence[Row]:
        """Read the items in some places, dates in words."""
        seats = [self._order.seats[place] for place in self._places[start:stop]]
        return [_in_words(row) for row in rows_by_rowid(self._register, seats)]

    def filed(self, start: int, stop: int, register: Register) -> Sequence[FiledRow]:
        """Read the same items as files have them."""
        seats = [self._order.seats[place] for place in self._places[start:stop]]
        return [_without_next(row) for row in rows_by_rowid(register, seats, plain=True)]

    def key(self, index: int) -> str:
        """Return the seat in a place."""
        return str(self._order.seats[self._places[index]])

    def index_of(self, key: str) -> int | None:
        """Return the place of a seat."""
        place = self._order.place(int(key)) if key.isdecimal() else None
        if place is None:
            return None
        index = bisect_left(self._places, place)
        return index if index < len(self._places) and self._places[index] == place else None


class RegisterRows:
    """The items of a register, all or those of a filter; arranged in a thread on a connection of its own."""

    slow = True

    def __init__(
        self, register: Register, kept: RowFilter | None = None, *, today: date, within_days: int = 30
    ) -> None:
        """`today` and `within_days` say what is overdue and due soon, where a filter asks for it."""
        self._register = register
        self._kept = kept or RowFilter()
        self._today, self._within = today, within_days
        self._order: SeatOrder | None = None
        self._names: PlaceNames | None = None

    def opening(self, arrangement: Arrangement) -> RowView | None:
        """Return the first rows of the usual order, which an index gives at once."""
        if arrangement != Arrangement():
            return None
        seats = ordered_rowids(self._register, filter=self._kept, limit=FIRST_ROWS)
        return SeatView(self._register, SeatOrder("", seats, descending=False), range(len(seats)))

    def arranged(self, arrangement: Arrangement) -> RowView:
        """Return all items in the order asked for that answer to what was typed."""
        query = parse_query(arrangement.text, today=self._today, within_days=self._within)
        with self._register.reopen() as own:
            order = self._in_order(own, arrangement)
            places = self._answering(own, order, query) if query else range(len(order.seats))
        return SeatView(self._register, order, places)

    def _answering(self, own: Register, order: SeatOrder, query: ListQuery) -> Sequence[int]:
        """Return the places of what answers; where no word begins so, of what holds the words anywhere."""
        names = self._names or PlaceNames.of(own)
        self._names = names
        places = order.kept(seats_answering(own, query, names))
        if places or not query.words:
            return places
        return order.kept(seats_answering(own, query, names, anywhere=True))

    def _in_order(self, own: Register, arrangement: Arrangement) -> SeatOrder:
        """Return all seats in the order asked for, kept from the letter before where it is the same."""
        order = self._order
        if order is None or order.sorted_by != (arrangement.column, arrangement.descending):
            column, descending = arrangement.column, arrangement.descending
            seats = ordered_rowids(own, sort=column, descending=descending, filter=self._kept)
            order = SeatOrder(column, seats, descending=descending)
            order.place_of  # noqa: B018 - found here, in the thread, and before the first letter is typed
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
    cells = _without_next(row)
    for place in _DATES:
        if cells[place] and cells[place] != DAMAGED:
            cells[place] = date_words(date.fromisoformat(cells[place]))
    cells[_OUTCOME] = cells[_OUTCOME] or (STATED if cells[_LAST] else NEVER)
    return cells


def _without_next(row: Row) -> list[str]:
    """The cells, without next dates where the item is not in service: none is waited for."""
    cells = list(row)
    if cells[_STATE] not in {ServiceState.IN_SERVICE.value, DAMAGED}:
        for place in _NEXT:
            cells[place] = ""
    return cells
