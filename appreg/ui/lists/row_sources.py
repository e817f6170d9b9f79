"""Where a list's rows come from: a source is arranged into a view, and a view never changes."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from copy import copy
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar, cast

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


class KeptRow(Generic[Item]):
    """An item of a list in memory; its cells are made once they are asked for, and most never are."""

    __slots__ = ("_cells", "_columns", "item", "key")

    def __init__(self, key: str, item: Item, columns: Sequence[FieldColumn[Item]]) -> None:
        """`key` names the row whatever its place."""
        self.key = key
        self.item = item
        self._columns = columns
        self._cells: Row | None = None

    @property
    def cells(self) -> Row:
        """The cells, in the order of the columns."""
        if self._cells is None:
            self._cells = tuple(column.text(self.item) for column in self._columns)
        return self._cells


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
        rows: Sequence[KeptRow[Any]],
        total: int,
        *,
        filed: Callable[[int, int], Sequence[FiledRow]] | None = None,
    ) -> None:
        """`filed` gives the cells as files have them; None: as they are shown."""
        self.total = total
        """How many rows there are without the filter."""
        self._rows = rows
        self._filed = filed or self.rows
        self._places: dict[str, int] = {}

    def __len__(self) -> int:
        """Count the rows."""
        return len(self._rows)

    def rows(self, start: int, stop: int) -> Sequence[Row]:
        """Return the cells of the rows from start up to stop."""
        return [row.cells for row in self._rows[start:stop]]

    def filed(self, start: int, stop: int, register: "Register") -> Sequence[FiledRow]:
        """Return the same cells as files have them."""
        del register
        return self._filed(start, stop)

    def key(self, index: int) -> str:
        """Return the key of the item in a place."""
        return self._rows[index].key

    def index_of(self, key: str) -> int | None:
        """Return the place of a key."""
        if len(self._places) != len(self._rows):
            self._places = {row.key: place for place, row in enumerate(self._rows)}
        return self._places.get(key)

    def with_rows(
        self, added: Sequence[tuple[int, KeptRow[Any]]], filed: Callable[[int, int], Sequence[FiledRow]]
    ) -> "MemoryView":
        """A view with some rows more, each with its place; what is there is copied whole, and not gone through."""
        rows, places = [*self._rows], self._places.copy()
        for place, row in added:
            if place == len(rows) == len(places):
                places[row.key] = place
            else:
                places.clear()  # worked out anew when it is asked for
            rows.insert(place, row)
        more = MemoryView(rows, self.total + len(added), filed=filed)
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
        self._shown = (*columns,)
        self._key = key
        self._search = search
        self._searched: dict[str, SearchedRow] = {}
        self._rows = [self._kept(item) for item in items]
        self._items = {row.key: row.item for row in self._rows}
        self._whole = MemoryView(self._rows, len(self._rows), filed=partial(self._filed, self._rows))
        """All of them in the source's own order."""

    def _kept(self, item: Item) -> KeptRow[Item]:
        return KeptRow(self._key(item), item, self._shown)

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
            place = bisect_right(self._rows, order(item), key=lambda row: order(row.item))
            self._rows.insert(place, kept)
            self._items[kept.key] = item
            added.append((place, kept))
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
        return MemoryView(kept, len(self._rows), filed=partial(self._filed, kept))

    def _filed(self, kept: Sequence[KeptRow[Item]], start: int, stop: int) -> list[FiledRow]:
        return [[each.filed_cell(row.item) for each in self._shown] for row in kept[start:stop]]

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

    def _searched_row(self, row: KeptRow[Item]) -> SearchedRow:
        """Return what a row is found by; each is looked at once."""
        searched = self._searched.get(row.key)
        if searched is None:
            item, cells = row.item, row.cells
            texts = {name: (cell,) for name, cell in zip(self._columns, cells, strict=True)}
            if self._search is None:
                searched = SearchedRow(texts=texts, counts=self._counts(item))
            else:
                of_item = self._search.row(item)
                searched = SearchedRow(texts={**texts, **of_item.texts, "": tuple(cells)}, item=of_item.item)
            self._searched[row.key] = searched
        return searched


def no_rows() -> RowSource:
    """Return a source without rows, for a list that is not filled yet."""
    nothing: MemoryRows[str] = MemoryRows([], [], key=str)
    return nothing


class _Orderable(Protocol):
    def __lt__(self, other: object, /) -> bool: ...


def _in_order(rows: list[KeptRow[Item]], column: FieldColumn[Item], *, descending: bool) -> list[KeptRow[Item]]:
    """Sort by a column; rows without a value come last whichever way round."""
    valued = [(value, row) for row in rows if (value := _value(column, row.item)) is not None]
    missing = [row for row in rows if _value(column, row.item) is None]
    valued.sort(key=lambda pair: pair[0], reverse=descending)
    return [row for _, row in valued] + missing


def _value(column: FieldColumn[Item], item: Item) -> _Orderable | None:
    value = (column.text(item).casefold() or None) if column.order is None else column.order(item)
    return cast("_Orderable | None", value)
