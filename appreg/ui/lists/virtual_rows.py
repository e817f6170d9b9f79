"""A list of any length that fetches and draws only the rows on the screen."""

from asyncio import wrap_future
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, ClassVar, Final, NamedTuple

from textual import work
from textual.geometry import Size
from textual.message import Message
from textual.reactive import Reactive, reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from appreg.core.values.text import shown
from appreg.errors import AppregError, QueryRefused
from appreg.ui.lists.row_choice import RowChoice
from appreg.ui.lists.row_sources import Arrangement, FiledRow, MemoryView, Row, RowSource, RowView, no_rows
from appreg.ui.lists.table_columns import Column, Placed, Tone, fitted
from appreg.ui.lists.table_drawing import (
    MARKS,
    RowMarks,
    TableStyles,
    header_strip,
    read_styles,
    row_strip,
    text_strip,
)
from appreg.ui.shell.steady_pump import SteadyPump

if TYPE_CHECKING:
    from appreg.register.opening.register_file import Register


def of_unit(count: int, unit: str) -> str:
    """Rows with what they are; the unit is said of many."""
    one = f"{unit.removesuffix('ies')}y" if unit.endswith("ies") else unit.removesuffix("s")
    return f"{count} {unit if count != 1 else one}"


CHUNK: Final = 64
"""Rows fetched at once: a tall terminal's worth."""
KEPT: Final = 16
"""Chunks kept; the least recently shown goes first."""


class RowChunks:
    """The rows of one view, fetched 64 at a time."""

    def __init__(self, view: RowView) -> None:
        self._view = view
        self._chunks: OrderedDict[int, Sequence[Row]] = OrderedDict()

    def row(self, index: int) -> Row:
        """Return the cells of one row; none for a row that is gone since the view was made."""
        number, place = divmod(index, CHUNK)
        chunk = self._chunks.get(number)
        if chunk is None:
            chunk = self._fetched(number)
        else:
            self._chunks.move_to_end(number)
        return chunk[place] if place < len(chunk) else ()

    def _fetched(self, number: int) -> Sequence[Row]:
        start = number * CHUNK
        chunk = self._view.rows(start, min(start + CHUNK, len(self._view)))
        self._chunks[number] = chunk
        if len(self._chunks) > KEPT:
            self._chunks.popitem(last=False)
        return chunk


class Listing(NamedTuple):
    """The rows of a list as they stand, to be written into a file; they never change."""

    columns: tuple[Column, ...]
    """All of them, in the order of the cells."""
    seen: frozenset[int]
    """The places of those that the width has room for."""
    arrangement: Arrangement
    length: int
    count_words: str
    """The rows counted, with what they are."""
    rows: "Callable[[int, int, Register], Sequence[FiledRow]]"


HEADER: Final = 1
"""Lines above the first row."""
AT_ONCE: Final = 0.02
"""Seconds that a letter waits for the rows it finds: both are then drawn in one frame, and the rows sooner,
since after a frame Textual lets up to two periods pass before the next."""
_ARRANGING: Final = "arrange"
STRIPS_KEPT: Final = 512
"""Drawn lines kept before they are drawn anew."""


class VirtualRows(SteadyPump, ScrollView):
    """Rows of a source under a line of titles, with a cursor that stays on its row when rows change."""

    ALLOW_SELECT = False
    DEFAULT_CSS = """
    VirtualRows {
        height: 1fr;
        overflow-x: hidden;
        overflow-y: auto;
        scrollbar-gutter: stable;
        scrollbar-size-vertical: 1;
        background: $background;
        color: $foreground;
        & > .virtual-rows--header { color: $primary; text-style: bold; background: $surface; }
        & > .virtual-rows--cursor { color: $foreground; background: $panel; text-style: bold; }
        & > .virtual-rows--cursor-unfocused { color: $foreground; background: $surface; text-style: bold; }
        & > .virtual-rows--plain { color: $foreground; }
        & > .virtual-rows--quiet { color: $secondary; }
        & > .virtual-rows--good { color: $success; }
        & > .virtual-rows--warn { color: $warning; }
        & > .virtual-rows--bad { color: $error; text-style: bold; }
    }
    """
    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "virtual-rows--header",
        "virtual-rows--cursor",
        "virtual-rows--cursor-unfocused",
        *(f"virtual-rows--{tone.value}" for tone in Tone),
    }

    cursor: reactive[int] = reactive(0, repaint=False)
    """The place of the row under the cursor."""
    virtual_size = Reactive(Size(0, 0))
    """Textual lays the whole screen out anew for each row more; only the scroll bar is told."""

    @dataclass
    class Moved(Message):
        """The cursor stands on another row; None: there is no row."""

        table: "VirtualRows"
        key: str | None

        @property
        def control(self) -> "VirtualRows":
            """The list, for handlers that tell lists apart."""
            return self.table

    @dataclass
    class Arranged(Message):
        """The list shows another arrangement or other rows."""

        table: "VirtualRows"
        count: int

        @property
        def control(self) -> "VirtualRows":
            """The list, for handlers that tell lists apart."""
            return self.table

    def __init__(
        self,
        columns: Sequence[Column],
        *,
        empty: str = "nothing here yet",
        unit: str = "rows",
        id: str | None = None,  # noqa: A002 - Textual's own name for it
    ) -> None:
        super().__init__(id=id)
        self.columns = tuple(columns)
        self.empty = empty
        """What an empty list says."""
        self.unit = unit
        """What its rows are, said of many."""
        self.arrangement = Arrangement()
        self.choice = RowChoice()
        self._source = no_rows()
        self._view = self._source.arranged(self.arrangement)
        self._chunks = RowChunks(self._view)
        self._whole = True
        self._finding = False
        self.leads = False
        """Keys move its cursor wherever the keyboard is."""
        self.refused = ""
        """Why what is asked for cannot be understood; no row is shown then."""
        self._to_the_top = False
        """The next view is looked at from its first row."""
        self._cursor_key: str | None = None
        self._placed: tuple[Placed, ...] = ()
        self._strips: dict[int, Strip] = {}
        self._styles: TableStyles | None = None

    @property
    def row_count(self) -> int:
        """How many rows the filter lets through."""
        return len(self._view)

    @property
    def total(self) -> int:
        """How many rows there are without the filter."""
        return self._view.total

    @property
    def is_whole(self) -> bool:
        """Tell whether all rows are known, not only the first that are seen while the others are arranged."""
        return self._whole

    @property
    def is_finding(self) -> bool:
        """Tell whether the rows that hold what was typed are still looked for: none should be acted on before."""
        return self._finding

    @property
    def cursor_key(self) -> str | None:
        """What names the row under the cursor."""
        return self._cursor_key

    @property
    def hidden_columns(self) -> int:
        """How many columns the width leaves out."""
        return len(self.columns) - len(self._placed)

    def listing(self) -> Listing:
        """Return the rows as they stand: what the filter lets through, in its order, and the columns on the screen."""
        count = len(self._view)
        seen = frozenset(placed.index for placed in self._placed)
        return Listing(self.columns, seen, self.arrangement, count, of_unit(count, self.unit), self._view.filed)

    def show(self, source: RowSource) -> None:
        """Take rows from a source, keeping order, filter, choice and the row under the cursor."""
        self._source = source
        first = source.opening(self.arrangement) if source.slow and not len(self._view) else None
        if first is not None:
            self._take(first)
            self._whole = False
        self.rearrange(self.arrangement)

    def rearrange(self, arrangement: Arrangement, *, patience: float = 0.0) -> bool:
        """Sort and filter, in a thread where the source is slow; tell whether that was done within so many seconds."""
        self.arrangement = arrangement
        self.workers.cancel_group(self, _ARRANGING)
        if not self._source.slow:
            self._take_or_refuse(lambda: self._source.arranged(arrangement))
            return True
        finding = self._threads.submit(self._source.arranged, arrangement)
        try:
            finding.exception(timeout=patience)
        except TimeoutError:
            self._take_when_found(finding)
            return False
        self._take_or_refuse(finding.result)
        return True

    def filter(self, text: str) -> bool:
        """Keep the rows that hold every word of a text; tell whether they stand there already."""
        narrowed = Arrangement(self.arrangement.column, self.arrangement.descending, text)
        self._finding = not self.rearrange(narrowed, patience=AT_ONCE)
        return not self._finding

    def sort(self, column: str, *, descending: bool = False) -> None:
        """Sort by a column, seen from the top; an empty name restores the source's own order."""
        self._to_the_top = True
        self.rearrange(Arrangement(column, descending, self.arrangement.text))

    def move_to(self, key: str) -> bool:
        """Set the cursor on a row; False where the list does not hold it."""
        place = self._view.index_of(key)
        if place is None:
            return False
        self.cursor = place
        return True

    @cached_property
    def _threads(self) -> ThreadPoolExecutor:
        """Where slow sources are arranged; a second thread, so that a new wish need not wait for the one before."""
        return ThreadPoolExecutor(max_workers=2, thread_name_prefix=_ARRANGING)

    @work(group=_ARRANGING)
    async def _take_when_found(self, finding: "Future[RowView]") -> None:
        """Show what a thread arranged, unless something else is asked for before."""
        with suppress(AppregError):
            await wrap_future(finding)
        self._take_or_refuse(finding.result)

    def _take_or_refuse(self, arranged: Callable[[], RowView]) -> None:
        """Show a view; where it cannot be made, say why: no row stands below a query that was not understood."""
        try:
            view = arranged()
            self.refused = ""
        except QueryRefused as refusal:
            self.refused = str(refusal)
            view = MemoryView((), self._view.total)
        except AppregError as refusal:
            self._say_why_not(refusal)
            return
        self._take(view)

    def _say_why_not(self, refusal: AppregError) -> None:
        """Leave the rows that stand there, and say why there are no others."""
        self._finding = False
        self.notify(shown(str(refusal)), severity="warning", timeout=10, markup=False)

    def on_unmount(self) -> None:
        """Let go of the threads; what they are at is not waited for."""
        self._threads.shutdown(wait=False, cancel_futures=True)

    def _take(self, view: RowView) -> None:
        """Show a view; the row under the cursor keeps its line on the screen, but where it was sorted anew."""
        above, key = self.cursor - self.scroll_offset.y, self._cursor_key
        if self._to_the_top:
            above, key = 0, None
            self.set_reactive(VirtualRows.cursor, 0)
        self._to_the_top = False
        place = None if key is None else view.index_of(key)
        kept = place if place is not None else min(self.cursor, max(len(view) - 1, 0))
        self._view, self._chunks, self._whole, self._finding = view, RowChunks(view), True, False
        self.virtual_size = Size(0, len(view) + HEADER)
        self._forget_strips()
        self.scroll_to(y=kept - above, animate=False, force=True)
        self.set_reactive(VirtualRows.cursor, kept)
        self._cursor_moved()
        self._tell(self.Arranged(self, len(view)))

    def watch_virtual_size(self, size: Size) -> None:
        """Show in the scroll bar how long the list is; a list as tall as its rows is laid out anew."""
        if self.styles.auto_dimensions:
            self.refresh(layout=True)
        else:
            self._scroll_update(size)

    def _tell(self, message: Message) -> None:
        """Post in the list's own name, whoever called: a message bubbles no further than its sender."""
        self.post_message(message.set_sender(self))

    def validate_cursor(self, place: int) -> int:
        """Keep the cursor on a row."""
        return max(0, min(place, len(self._view) - 1))

    def watch_cursor(self, old: int, new: int) -> None:
        """Redraw the two rows that changed, and bring the new one into sight."""
        self._strips.pop(old, None)
        self._strips.pop(new, None)
        self.refresh_lines(old + HEADER)
        self.refresh_lines(new + HEADER)
        self._cursor_moved()

    def _cursor_moved(self) -> None:
        key = self._view.key(self.cursor) if len(self._view) else None
        self._bring_into_sight()
        if key != self._cursor_key:
            self._cursor_key = key
            self._tell(self.Moved(self, key))

    def _bring_into_sight(self) -> None:
        top, page = self.scroll_offset.y, self._rows_on_screen
        if page < 1:
            return
        if self.cursor < top:
            self.scroll_to(y=self.cursor, animate=False, force=True)
        elif self.cursor >= top + page:
            self.scroll_to(y=self.cursor - page + 1, animate=False, force=True)

    @property
    def _rows_on_screen(self) -> int:
        return self.scrollable_content_region.height - HEADER

    def set_columns(self, columns: Sequence[Column]) -> None:
        """Show the same cells in other columns: what they are called, how wide they are, which goes first."""
        if self.columns != tuple(columns):
            self.columns = tuple(columns)
            self.on_resize()

    def on_resize(self) -> None:
        """Fit the columns to the new width."""
        self._placed = fitted(self.columns, self.scrollable_content_region.width - MARKS)
        self._forget_strips()
        self._bring_into_sight()

    def notify_style_update(self) -> None:
        """Take the theme's styles anew."""
        super().notify_style_update()
        self._styles = None
        self._strips.clear()

    def on_focus(self) -> None:
        """Show the cursor as the one that keys move."""
        self._forget_strips()

    def on_blur(self) -> None:
        """Show the cursor as one that waits."""
        self._forget_strips()

    def _forget_strips(self) -> None:
        self._strips.clear()
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """Draw one line of the screen."""
        width = self.scrollable_content_region.width
        styles = self._styles or self._read_styles()
        if y < HEADER:
            return header_strip(self._placed, self.arrangement, width, styles.header)
        place = y - HEADER + self.scroll_offset.y
        if place < len(self._view):
            return self._strips.get(place) or self._row(place, width, styles)
        words = self.words_when_empty() if not len(self._view) and y == HEADER + 1 else ""
        return text_strip(words, width, styles.tones[Tone.QUIET])

    def _row(self, place: int, width: int, styles: TableStyles) -> Strip:
        marks = RowMarks(
            cursor=place == self.cursor,
            chosen=bool(self.choice.keys) and self._view.key(place) in self.choice.keys,
            focused=self.has_focus or self.leads,
        )
        strip = row_strip(self._chunks.row(place), self._placed, marks, width, styles)
        if len(self._strips) >= STRIPS_KEPT:
            self._strips.clear()
        self._strips[place] = strip
        return strip

    def words_when_empty(self) -> str:
        """What the list says while it shows no row: that the filter lets none through, or that there are none."""
        if self.refused:
            return self.refused
        text = self.arrangement.text
        return f"no row holds “{text}”: esc shows all again" if text else self.empty

    def _read_styles(self) -> TableStyles:
        self._styles = read_styles(lambda part: self.get_component_rich_style(f"virtual-rows--{part}"))
        return self._styles
