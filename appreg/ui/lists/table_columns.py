"""Columns of a list: declared once, fitted to the width at hand, their cells set in line."""

from collections.abc import Callable, Sequence
from datetime import date
from enum import StrEnum
from typing import Final, Generic, TypeVar

from msgspec import Struct
from msgspec.structs import replace
from rich.cells import cell_len, set_cell_size

from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import shown

GAP: Final = 2
"""Blank cells between two columns where there is room."""
NARROW_GAP: Final = 1
ROOMY: Final = 100
"""Cells from which there is room."""

Item = TypeVar("Item")


class Tone(StrEnum):
    """What a cell says beside its words; each is a colour of the theme, never the only sign."""

    PLAIN = "plain"
    QUIET = "quiet"
    GOOD = "good"
    WARN = "warn"
    BAD = "bad"


def plain(_text: str) -> Tone:
    """Give every cell the plain tone."""
    return Tone.PLAIN


_NO_NUMBER: Final = frozenset({"", "-", "…"})
"""What stands in a column of numbers where there is none."""


class Column(Struct, frozen=True, kw_only=True):
    """One column of a list, as the screen sees it."""

    key: str
    """Names the column when a list is sorted."""
    title: str
    """What stands above it; at most as wide as min_width."""
    min_width: int
    """Cells it needs; narrower than that it is left out."""
    max_width: int = 0
    """Cells it may grow to where there is room; 0: it does not grow."""
    priority: int = 0
    """0 stays longest; the highest number is left out first."""
    number: bool = False
    """Set to the right, its decimal points one below the other."""
    decimals: int = 0
    """Places kept after the point of a number."""
    tone: Callable[[str], Tone] = plain
    """From the cell's text to its tone."""
    filed: str = ""
    """What it is called in files, as the command line calls it; empty: by its key."""
    day: bool = False
    """Its cells in files are days."""
    in_files: bool = True
    """False: it is a picture, and says nothing in a file."""


class FieldColumn(Column, Generic[Item], frozen=True, kw_only=True):
    """A column of a list held in memory: it can also read its cell from an item."""

    text: Callable[[Item], str]
    """The cell's text."""
    order: Callable[[Item], object] | None = None
    """What the column sorts by; None: its text, upper and lower case alike."""
    value: Callable[[Item], date | str | int | None] | None = None
    """What a file has in place of the text; None: the text, and of a number the figure alone."""

    def filed_cell(self, item: Item) -> str | int | None:
        """The cell as files have it: a day in ISO 8601, a count as a number, nothing where there is none."""
        if self.value is not None:
            value = self.value(item)
            return value.isoformat() if isinstance(value, date) else value
        text = self.text(item)
        if not self.number:
            return text
        if text in _NO_NUMBER:
            return None
        return int(text) if text.isascii() and text.removeprefix("-").isdecimal() else text


def tag_column(tag: Callable[[Item], str], *, min_width: int = 7) -> FieldColumn[Item]:
    """The column of asset tags, in the order of their numbers."""
    return FieldColumn(
        key="tag", title="tag", min_width=min_width, max_width=12, text=tag, order=lambda item: tag_order(tag(item))
    )


def date_column(
    key: str, title: str, day: Callable[[Item], date | None], *, none: str = "", priority: int = 0
) -> FieldColumn[Item]:
    """A column of days: in words on the screen, in ISO 8601 in files; `none` is what the screen has for no day."""

    def text(item: Item) -> str:
        on = day(item)
        return none if on is None else date_words(on)

    return FieldColumn(key=key, title=title, min_width=11, priority=priority, text=text, order=day, value=day, day=True)


def count_column(
    key: str,
    title: str,
    count: Callable[[Item], int],
    *,
    min_width: int,
    priority: int = 0,
    zero: str = "0",
    filed: str = "",
    tone: Callable[[str], Tone] = plain,
) -> FieldColumn[Item]:
    """A column of counts, in their order; `zero` is what stands for none."""
    return FieldColumn(
        key=key,
        filed=filed,
        title=title,
        min_width=min_width,
        number=True,
        priority=priority,
        tone=tone,
        text=lambda item: str(count(item) or zero),
        order=count,
        value=count,
    )


class Placed(Struct, frozen=True):
    """A column that is shown, with its place among the declared ones and its width in cells."""

    index: int
    column: Column
    width: int


_LAST: Final = 9
"""The priority of what goes first."""


def at_one_site(columns: Sequence[Column]) -> tuple[Column, ...]:
    """The columns of a list of one site: its name, the same in every row, goes first, and the room has its place."""
    site = next((column.priority for column in columns if column.key == "site"), _LAST)
    priorities = {"site": _LAST, "location": site}
    return tuple(replace(column, priority=priorities.get(column.key, column.priority)) for column in columns)


def fitted(columns: Sequence[Column], width: int) -> tuple[Placed, ...]:
    """Choose the columns that fit a width in cells, in their declared order, and share what is left."""
    chosen: list[int] = []
    gap = gap_in(width)
    used = -gap
    for index in sorted(range(len(columns)), key=lambda place: (columns[place].priority, place)):
        needed = gap + columns[index].min_width
        if used + needed > width and chosen:
            break
        used += needed
        chosen.append(index)
    widths = _shared([columns[index] for index in sorted(chosen)], width - used)
    return tuple(Placed(index, columns[index], cells) for index, cells in zip(sorted(chosen), widths, strict=True))


def gap_in(width: int) -> int:
    """Return the blank cells between two columns in a list of this width."""
    return GAP if width >= ROOMY else NARROW_GAP


def _shared(columns: Sequence[Column], spare: int) -> list[int]:
    widths = [column.min_width for column in columns]
    while spare > 0:
        growing = [place for place, column in enumerate(columns) if widths[place] < column.max_width]
        if not growing:
            break
        for place in growing[:spare]:
            widths[place] += 1
        spare -= min(len(growing), spare)
    return widths


def set_cell(text: str, placed: Placed) -> str:
    """Return the text as its cell shows it: visible, cut with an ellipsis, exactly as wide as the column."""
    column, width = placed.column, placed.width
    safe = shown(text)
    if column.number:
        safe = _to_the_point(safe, column.decimals)
    if safe.isascii():
        if len(safe) > width:
            safe = safe.strip()
        if len(safe) > width:
            return safe[: width - 1] + "…"
        return safe.rjust(width) if column.number else safe.ljust(width)
    return _set_wide(safe, width, right=column.number)


def _set_wide(text: str, width: int, *, right: bool) -> str:
    cells = cell_len(text)
    if cells > width:
        return set_cell_size(set_cell_size(text, width - 1) + "…", width)
    blank = " " * (width - cells)
    return blank + text if right else text + blank


def _to_the_point(number: str, decimals: int) -> str:
    """Pad a number on the right so that points stand in line when it is set to the right."""
    if not decimals or not number:
        return number
    _, point, places = number.partition(".")
    short = decimals - len(places) + (0 if point else 1)
    return number + " " * max(short, 0)
