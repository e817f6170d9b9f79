"""Where a list's rows come from: a source is arranged into a view, and a view never changes."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from copy import copy
from typing import Generic, Protocol, TypeVar, cast

from msgspec import Struct

from appreg.core.values.asset_tags import LONGEST_TAG, loosely_typed, without_separators
from appreg.ui.lists.table_columns import FieldColumn

Item = TypeVar("Item")

Row = Sequence[str]
"""The cells of a row, in the order of the declared columns."""

_Kept = tuple[str, Item, Row]


class Arrangement(Struct, frozen=True):
    """How a list is asked for: sorted by a column, and filtered by what was typed."""

    column: str = ""
    """Empty: the source's own order."""
    descending: bool = False
    text: str = ""
    """Words that a row must hold, all of them, in any cell."""


class RowView(Protocol):
    """The rows of one arrangement; safe to read while the next one is made."""

    def __len__(self) -> int:
        """Count the rows."""

    def rows(self, start: int, stop: int) -> Sequence[Row]:
        """Return the cells of the rows from start up to stop."""

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
        """Return the view for an arrangement; called in a thread where the source is slow."""


class MemoryView:
    """Rows that are all in memory."""

    def __init__(self, keys: Sequence[str], rows: Sequence[Row]) -> None:
        self._keys = keys
        self._rows = rows
        self._places: dict[str, int] = {}

    def __len__(self) -> int:
        """Count the rows."""
        return len(self._keys)

    def rows(self, start: int, stop: int) -> Sequence[Row]:
        """Return the cells of the rows from start up to stop."""
        return self._rows[start:stop]

    def key(self, index: int) -> str:
        """Return the key of the item in a place."""
        return self._keys[index]

    def index_of(self, key: str) -> int | None:
        """Return the place of a key."""
        if len(self._places) != len(self._keys):
            self._places = {name: place for place, name in enumerate(self._keys)}
        return self._places.get(key)


class MemoryRows(Generic[Item]):
    """A source over items held in memory, read through the columns that show them."""

    slow = False

    def __init__(
        self, columns: Sequence[FieldColumn[Item]], items: Iterable[Item], *, key: Callable[[Item], str]
    ) -> None:
        self._columns = {column.key: column for column in columns}
        self._key = key
        self._rows: list[_Kept[Item]] = [self._kept(item) for item in items]
        self._items = {name: item for name, item, _ in self._rows}

    def _kept(self, item: Item) -> _Kept[Item]:
        return self._key(item), item, tuple(column.text(item) for column in self._columns.values())

    def __len__(self) -> int:
        """Count the items."""
        return len(self._rows)

    def with_items(self, items: Iterable[Item], *, order: Callable[[Item], str]) -> "MemoryRows[Item]":
        """A source with some items more, each put where it belongs among items in that order."""
        more = copy(self)
        more._rows, more._items = [*self._rows], {**self._items}  # noqa: SLF001 - one of its own
        for item in items:
            kept = more._kept(item)  # noqa: SLF001
            more._rows.insert(bisect_right(more._rows, order(item), key=lambda row: order(row[1])), kept)  # noqa: SLF001
            more._items[kept[0]] = item  # noqa: SLF001
        return more

    def item(self, key: str) -> Item | None:
        """Return the item behind a key."""
        return self._items.get(key)

    def opening(self, arrangement: Arrangement) -> RowView | None:
        """Return all of it: memory is never slow."""
        return self.arranged(arrangement)

    def arranged(self, arrangement: Arrangement) -> RowView:
        """Return the items that hold every word typed, in the order asked for."""
        words = arrangement.text.casefold().split()
        tag = without_separators(arrangement.text) if loosely_typed(arrangement.text) else None
        kept: list[_Kept[Item]] = [row for row in self._rows if not words or _holds(row[2], words, tag)]
        column = self._columns.get(arrangement.column)
        if column is not None:
            kept = _in_order(kept, column, descending=arrangement.descending)
        return MemoryView([row[0] for row in kept], [row[2] for row in kept])


def no_rows() -> RowSource:
    """Return a source without rows, for a list that is not filled yet."""
    nothing: MemoryRows[str] = MemoryRows([], [], key=str)
    return nothing


def _holds(cells: Row, words: Sequence[str], tag: str | None) -> bool:
    """Tell whether every word stands in the row, or the tag in one of its cells, typed without separators."""
    text = "\n".join(cells).casefold()
    return all(word in text for word in words) or (
        tag is not None and any(len(cell) <= LONGEST_TAG and without_separators(cell) == tag for cell in cells)
    )


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
