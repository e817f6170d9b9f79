"""Where a list's rows come from: a source is arranged into a view, and a view never changes."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from copy import copy
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Generic, Protocol, TypeVar, cast

from msgspec import Struct

from appreg.core.records.list_queries import ALSO_CALLED, ITEM_KEYS, ListQuery, parse_query
from appreg.core.records.searched_rows import SearchedRow, answering
from appreg.ui.lists.table_columns import FieldColumn

if TYPE_CHECKING:
    from appreg.register.opening.register_file import Register

Item = TypeVar("Item")

Row = Sequence[str]
"""The cells of a row, in the order of the declared columns."""

FiledRow = Sequence[str | int | None]
"""The cells of a row as files have them."""

_Kept = tuple[str, Item, Row]


class Arrangement(Struct, frozen=True):
    """How a list is asked for: sorted by a column, and filtered by what was typed."""

    column: str = ""
    """Empty: the source's own order."""
    descending: bool = False
    text: str = ""
    """Words that a row must hold, and keys with a value, all of them."""


class RowView(Protocol):
    """The rows of one arrangement; safe to read while the next one is made."""

    @property
    def total(self) -> int:
        """How many rows there are without the filter."""

    def __len__(self) -> int:
        """Count the rows."""

    def rows(self, start: int, stop: int) -> Sequence[Row]:
        """Return the cells of the rows from start up to stop."""

    def filed(self, start: int, stop: int, register: "Register") -> Sequence[FiledRow]:
        """Return the same cells as files have them; `register` is open in the caller's own thread."""

    def key(self, index: int) -> str:
        """Return what names a row whatever its place."""

    def index_of(self, key: str) -> int | None:
        """Return the place of a row, or None where it is not in this view."""


class RowSource(Protocol):
    """A list that can be arranged in any order and filtered."""

    @property
    def slow(self) -> bool:
        """Tell whether arranging may take longer than a frame and belongs in a thread."""

    def opening(self, arrangement: Arrangement) -> RowView | None:
        """Return at once what can be seen while a slow source is arranged; None: nothing yet."""

    def arranged(self, arrangement: Arrangement) -> RowView:
        """Return the view for an arrangement; called in a thread where the source is slow.

        Raises QueryRefused where what is asked for cannot be understood.
        """


class MemoryView:
    """Rows that are all in memory."""

    def __init__(
        self,
        keys: Sequence[str],
        rows: Sequence[Row],
        total: int,
        *,
        filed: Callable[[int, int], Sequence[FiledRow]] | None = None,
    ) -> None:
        """`filed` gives the cells as files have them; None: as they are shown."""
        self.total = total
        """How many rows there are without the filter."""
        self._keys = keys
        self._rows = rows
        self._filed = filed or self.rows
        self._places: dict[str, int] = {}

    def __len__(self) -> int:
        """Count the rows."""
        return len(self._keys)

    def rows(self, start: int, stop: int) -> Sequence[Row]:
        """Return the cells of the rows from start up to stop."""
        return self._rows[start:stop]

    def filed(self, start: int, stop: int, register: "Register") -> Sequence[FiledRow]:
        """Return the same cells as files have them."""
        del register
        return self._filed(start, stop)

    def key(self, index: int) -> str:
        """Return the key of the item in a place."""
        return self._keys[index]

    def index_of(self, key: str) -> int | None:
        """Return the place of a key."""
        if len(self._places) != len(self._keys):
            self._places = {name: place for place, name in enumerate(self._keys)}
        return self._places.get(key)

    def with_rows(
        self, added: Sequence[tuple[int, str, Row]], filed: Callable[[int, int], Sequence[FiledRow]]
    ) -> "MemoryView":
        """A view with some rows more, each (place, key, cells); what is there is copied whole, and not gone through."""
        keys, rows, places = [*self._keys], [*self._rows], self._places.copy()
        for place, key, row in added:
            if place == len(keys) == len(places):
                places[key] = place
            else:
                places.clear()  # worked out anew when it is asked for
            keys.insert(place, key)
            rows.insert(place, row)
        more = MemoryView(keys, rows, self.total + len(added), filed=filed)
        more._places = places
        return more


class RowSearch(Struct, Generic[Item], frozen=True, kw_only=True):
    """What the rows of a list of items are found by, beside their own cells."""

    row: Callable[[Item], SearchedRow]
    today: date
    within_days: int


class MemoryRows(Generic[Item]):
    """A source over items held in memory, read through the columns that show them."""

    slow = False

    def __init__(
        self,
        columns: Sequence[FieldColumn[Item]],
        items: Iterable[Item],
        *,
        key: Callable[[Item], str],
        search: RowSearch[Item] | None = None,
    ) -> None:
        """`search`: what the rows are found by where they are items; otherwise it is their cells, by column."""
        self._columns = {column.key: column for column in columns}
        self._key = key
        self._search = search
        self._searched: dict[str, SearchedRow] = {}
        self._rows: list[_Kept[Item]] = [self._kept(item) for item in items]
        self._items = {name: item for name, item, _ in self._rows}
        self._whole = MemoryView(*_told(self._rows), len(self._rows), filed=partial(self._filed, self._rows))
        """All of them in the source's own order."""

    def _kept(self, item: Item) -> _Kept[Item]:
        return self._key(item), item, tuple(column.text(item) for column in self._columns.values())

    def __len__(self) -> int:
        """Count the items."""
        return len(self._rows)

    def with_items(self, items: Iterable[Item], *, order: Callable[[Item], str]) -> "MemoryRows[Item]":
        """A source with some items more, each put where it belongs among items in that order."""
        more = copy(self)
        more._take(items, order)  # noqa: SLF001 - one of its own
        return more

    def _take(self, items: Iterable[Item], order: Callable[[Item], str]) -> None:
        """Have some items more, without touching what the source that this is a copy of has."""
        self._rows, self._items, self._searched = [*self._rows], self._items.copy(), {}
        added = []
        for item in items:
            kept = self._kept(item)
            place = bisect_right(self._rows, order(item), key=lambda row: order(row[1]))
            self._rows.insert(place, kept)
            self._items[kept[0]] = item
            added.append((place, kept[0], kept[2]))
        self._whole = self._whole.with_rows(added, partial(self._filed, self._rows))

    def item(self, key: str) -> Item | None:
        """Return the item behind a key."""
        return self._items.get(key)

    def opening(self, arrangement: Arrangement) -> RowView | None:
        """Return all of it: memory is never slow."""
        return self.arranged(arrangement)

    def arranged(self, arrangement: Arrangement) -> RowView:
        """Return the items that answer to what was typed, in the order asked for."""
        kept, column = self._rows, self._columns.get(arrangement.column)
        if not arrangement.text.strip() and column is None:
            return self._whole
        if arrangement.text.strip():
            kept = answering(kept, self._query(arrangement.text), self._searched_row)
        if column is not None:
            kept = _in_order(kept, column, descending=arrangement.descending)
        return MemoryView(*_told(kept), len(self._rows), filed=partial(self._filed, kept))

    def _filed(self, kept: Sequence[_Kept[Item]], start: int, stop: int) -> list[FiledRow]:
        return [[each.filed_cell(item) for each in self._columns.values()] for _, item, _ in kept[start:stop]]

    def _query(self, text: str) -> ListQuery:
        if self._search is None:
            counts = [key for key, column in self._columns.items() if column.number and column.order]
            return parse_query(text, today=date.min, keys=tuple(self._columns), items=False, counts=counts)
        own = (key for key in self._columns if key not in {*ITEM_KEYS, *ALSO_CALLED})
        today, within = self._search.today, self._search.within_days
        return parse_query(text, today=today, within_days=within, keys=(*ITEM_KEYS, *own))

    def _counts(self, item: Item) -> dict[str, int]:
        """Return what the columns of numbers count, as far as it is whole."""
        ordered = {key: column.order(item) for key, column in self._columns.items() if column.number and column.order}
        return {key: count for key, count in ordered.items() if isinstance(count, int)}

    def _searched_row(self, row: _Kept[Item]) -> SearchedRow:
        """Return what a row is found by; each is looked at once."""
        key, item, cells = row
        searched = self._searched.get(key)
        if searched is None:
            texts = {name: (cell,) for name, cell in zip(self._columns, cells, strict=True)}
            if self._search is None:
                searched = SearchedRow(texts=texts, counts=self._counts(item))
            else:
                of_item = self._search.row(item)
                searched = SearchedRow(texts={**texts, **of_item.texts, "": tuple(cells)}, item=of_item.item)
            self._searched[key] = searched
        return searched


def no_rows() -> RowSource:
    """Return a source without rows, for a list that is not filled yet."""
    nothing: MemoryRows[str] = MemoryRows([], [], key=str)
    return nothing


def _told(kept: Sequence[_Kept[Item]]) -> tuple[list[str], list[Row]]:
    """The keys and the cells."""
    return [row[0] for row in kept], [row[2] for row in kept]


class _Orderable(Protocol):
    def __lt__(self, other: object, /) -> bool: ...


def _in_order(rows: list[_Kept[Item]], column: FieldColumn[Item], *, descending: bool) -> list[_Kept[Item]]:
    """Sort by a column; rows without a value come last whichever way round."""
    valued = [(value, row) for row in rows if (value := _value(column, row[1])) is not None]
    missing = [row for row in rows if _value(column, row[1]) is None]
    valued.sort(key=lambda pair: pair[0], reverse=descending)
    return [row for _, row in valued] + missing


def _value(column: FieldColumn[Item], item: Item) -> _Orderable | None:
    value = (column.text(item).casefold() or None) if column.order is None else column.order(item)
    return cast("_Orderable | None", value)
