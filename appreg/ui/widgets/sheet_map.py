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
    """The first sheet: arrow keys or a click move the place where printing starts."""

    DEFAULT_CSS: ClassVar[str] = """
    SheetMap { width: auto; height: auto; color: $foreground; }
    SheetMap:focus { background: $surface; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "step(-1)", "Start one place before", show=False),
        Binding("right", "step(1)", "Start one place later", show=False),
        Binding("up", "step_row(-1)", "Start one row above", show=False),
        Binding("down", "step_row(1)", "Start one row below", show=False),
        Binding("home", "to(1)", "Start at the first place", show=False),
    ]

    columns: reactive[int] = reactive(3, layout=True)
    rows: reactive[int] = reactive(8, layout=True)
    start: reactive[int] = reactive(1)
    """The place of the first label, counted from 1 along the rows."""
    kinds: reactive[tuple[LabelKind, ...]] = reactive(())
    """The labels to be printed, in order."""
    chosen: reactive[int] = reactive(-1)
    """Which of them is looked at, counted from 0; -1: none."""

    @dataclass
    class StartMoved(Message):
        """Printing is to start at another place."""

        start: int

    def validate_start(self, start: int) -> int:
        """Stay on the sheet."""
        return max(1, min(start, self.columns * self.rows))

    def watch_start(self, start: int) -> None:
        """Tell the screen."""
        self.post_message(self.StartMoved(start))

    def render(self) -> Content:
        """Draw every place of the first sheet."""
        lines = []
        for row in range(self.rows):
            places = range(row * self.columns + 1, (row + 1) * self.columns + 1)
            lines.append(Content("").join([self._place(place) for place in places]))
        return Content("\n").join(lines)

    def get_content_width(self, *_args: object) -> int:
        """As wide as its places."""
        return self.columns * CELL

    def get_content_height(self, *_args: object) -> int:
        """As tall as its places."""
        return self.rows

    def _place(self, place: int) -> Content:
        index = place - self.start
        if index < 0:
            return Content.styled(f" {USED}", "$secondary")
        mark, style = FREE, "$secondary"
        if index < len(self.kinds):
            mark = MARKS[self.kinds[index]]
            style = "$error" if self.kinds[index] is LabelKind.DO_NOT_USE else "$primary"
        if index == self.chosen:
            style = "bold reverse $warning"
        return Content.assemble((START if index == 0 else " ", "bold $warning"), (mark, style))

    def action_step(self, places: int) -> None:
        """Move the start along the rows."""
        self.start += places

    def action_step_row(self, rows: int) -> None:
        """Move the start up or down, where there is a row."""
        if 1 <= self.start + rows * self.columns <= self.columns * self.rows:
            self.start += rows * self.columns

    def action_to(self, place: int) -> None:
        """Start at a place."""
        self.start = place

    def on_click(self, event: events.Click) -> None:
        """Start at the place under the pointer."""
        offset = event.get_content_offset(self)
        if offset is not None and offset.x // CELL < self.columns:
            self.start = offset.y * self.columns + offset.x // CELL + 1
