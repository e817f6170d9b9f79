"""A sheet of labels as a picture of its places: used, to be printed, free, and where printing starts."""

from dataclasses import dataclass
from typing import ClassVar, Final

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.records.kept_records import LabelKind

USED: Final = "░░░"
FREE: Final = " · "
MARKS: Final = {LabelKind.PASS: "[ ]", LabelKind.DO_NOT_USE: "███"}
"""An open frame for a pass, a full bar for do not use, as on paper."""
START: Final = "►"
CELL: Final = 4
"""Cells from one place to the next."""
LEGEND: Final = (
    f"{START}   start here\n{MARKS[LabelKind.PASS]} pass\n{MARKS[LabelKind.DO_NOT_USE]} do not use\n{USED} used"
)


class SheetMap(Widget, can_focus=True):
    """The first sheet: the arrow keys point at a place, which enter starts at and space marks as used; a click starts there."""

    DEFAULT_CSS: ClassVar[str] = """
    SheetMap { width: auto; height: auto; color: $foreground; }
    SheetMap:focus { background: $surface; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "point(-1)", "Point one place before", show=False),
        Binding("right", "point(1)", "Point one place later", show=False),
        Binding("up", "point_row(-1)", "Point one row above", show=False),
        Binding("down", "point_row(1)", "Point one row below", show=False),
        Binding("home", "point_to(1)", "Point at the first place", show=False),
        Binding("space", "use", "Mark the place as used, or as free", show=False),
        Binding("enter", "start_here", "Start at the place", show=False),
    ]

    columns: reactive[int] = reactive(3, layout=True)
    rows: reactive[int] = reactive(8, layout=True)
    start: reactive[int] = reactive(1)
    """The place of the first label, counted from 1 along the rows."""
    used: reactive[frozenset[int]] = reactive(frozenset())
    """Places that are used too, later than the start."""
    pointed: reactive[int] = reactive(1)
    """The place that the arrow keys point at."""
    kinds: reactive[tuple[LabelKind, ...]] = reactive(())
    """The labels to be printed, in order."""
    chosen: reactive[int] = reactive(-1)
    """Which of them is looked at, counted from 0; -1: none."""

    @dataclass
    class Changed(Message):
        """Printing is to start at another place, or other places are used."""

    def validate_start(self, start: int) -> int:
        """Stay on the sheet."""
        return self._on_sheet(start)

    def validate_pointed(self, pointed: int) -> int:
        """Stay on the sheet."""
        return self._on_sheet(pointed)

    def validate_used(self, used: frozenset[int]) -> frozenset[int]:
        """Keep to the sheet."""
        return frozenset(place for place in used if 1 <= place <= self.places)

    @property
    def places(self) -> int:
        """Of the sheet."""
        return self.columns * self.rows

    def _on_sheet(self, place: int) -> int:
        return max(1, min(place, self.places))

    def watch_start(self, start: int) -> None:
        """Point there, and tell the screen."""
        self.pointed = start
        self.post_message(self.Changed())

    def watch_used(self) -> None:
        """Tell the screen."""
        self.post_message(self.Changed())

    def render(self) -> Content:
        """Draw every place of the first sheet."""
        free = [place for place in range(self.start, self.places + 1) if place not in self.used]
        labels = {place: index for index, place in enumerate(free)}
        lines = []
        for row in range(self.rows):
            places = range(row * self.columns + 1, (row + 1) * self.columns + 1)
            lines.append(Content("").join([self._place(place, labels.get(place)) for place in places]))
        return Content("\n").join(lines)

    def get_content_width(self, *_args: object) -> int:
        """As wide as its places."""
        return self.columns * CELL

    def get_content_height(self, *_args: object) -> int:
        """As tall as its places."""
        return self.rows

    def _place(self, place: int, index: int | None) -> Content:
        """`index`: which label goes there, counted from 0; None: the place is used."""
        mark, style = (USED if index is None else FREE), "$secondary"
        if index is not None and index < len(self.kinds):
            mark = MARKS[self.kinds[index]]
            style = "$error" if self.kinds[index] is LabelKind.DO_NOT_USE else "$primary"
        if index is not None and index == self.chosen:
            style = "bold reverse $warning"
        if self.has_focus and place == self.pointed:
            style = f"{style} reverse" if "reverse" not in style else "underline $warning"
        return Content.assemble((START if place == self.start else " ", "bold $warning"), (mark, style))

    def on_focus(self) -> None:
        """Show what is pointed at."""
        self.refresh()

    def on_blur(self) -> None:
        """Point at nothing."""
        self.refresh()

    def action_point(self, places: int) -> None:
        """Point at another place along the rows."""
        self.pointed += places

    def action_point_row(self, rows: int) -> None:
        """Point up or down, where there is a row."""
        if 1 <= self.pointed + rows * self.columns <= self.places:
            self.pointed += rows * self.columns

    def action_point_to(self, place: int) -> None:
        """Point at a place."""
        self.pointed = place

    def action_start_here(self) -> None:
        """Start at the place pointed at."""
        self.start = self.pointed

    def action_use(self) -> None:
        """Mark the place pointed at as used, or as free again, and point at the next."""
        self.used ^= {self.pointed}
        self.pointed += 1

    def on_click(self, event: events.Click) -> None:
        """Start at the place under the pointer."""
        offset = event.get_content_offset(self)
        if offset is not None and offset.x // CELL < self.columns:
            self.start = offset.y * self.columns + offset.x // CELL + 1
