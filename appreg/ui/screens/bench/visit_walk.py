"""The items of a visit room by room, as one walks: what each came to, and the one on the bench."""

from collections.abc import Sequence
from typing import ClassVar, Final

from msgspec import Struct
from rich.cells import cell_len
from textual.content import Content
from textual.reactive import reactive

from appreg.core.values.outcomes import Outcome
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.open_bench import VisitItem
from appreg.ui.screens.bench.bench_walk import Walk
from appreg.ui.shell.place_line import fitted
from appreg.ui.widgets.drawn_rows import DrawnRows
from appreg.ui.widgets.labelled_rule import labelled_rule

ORDER_WORDS: Final = "by room, then tag"
"""The order of the walk, as it is told."""
_WORDS: Final = {
    Outcome.PASS: ("pass", "$pass"),
    Outcome.FAIL: ("FAIL", "bold $fail"),
    Outcome.INCOMPLETE: ("incomplete", "$doubt"),
}
_TO_DO: Final = ("to do", "$quiet")
_LEFT: Final = ("not inspected", "$doubt")


class WalkRow(Struct, frozen=True):
    """One row: a room, or one of its items."""

    room: str = ""
    item: VisitItem | None = None


def walk_rows(items: Sequence[VisitItem]) -> list[WalkRow]:
    """Each room with its items beneath it, in the order they stand in."""
    rows: list[WalkRow] = []
    here: Uid | None = None
    for item in items:
        if item.location.uid != here:
            here = item.location.uid
            rows.append(WalkRow(item.location.name))
        rows.append(WalkRow(item=item))
    return rows


def window(rows: Sequence[WalkRow], current: int, height: int) -> int:
    """The first row to be shown, so that the current one has as much before as behind it."""
    return max(0, min(current - height // 2, len(rows) - height))


class VisitWalk(DrawnRows):
    """Shows as much of the way as there is room for, around the item on the bench."""

    DEFAULT_CSS: ClassVar[str] = """
    VisitWalk { height: 1fr; }
    """

    items: reactive[Walk] = reactive(Walk)
    current: reactive[Uid | None] = reactive(None)

    def show(self, items: Walk, current: Uid) -> None:
        """Show the way as it stands, with one item on the bench."""
        self.current = current
        self.items = items

    def rows(self) -> list[Content]:
        """The rows around the current one under the words for their order."""
        width, height = self.content_size
        room = max(height - 1, 0)
        place = 0 if self.current is None else max(self.items.place_of(self.current), 0)
        rows = walk_rows(self.items[max(0, place - room) : place + room + 1])  # more of a long way is never seen
        places = (n for n, row in enumerate(rows) if row.item and row.item.appliance.uid == self.current)
        first = window(rows, next(places, 0), room)
        drawn = [self._row(row, width) for row in rows[first : first + room]]
        return [labelled_rule(ORDER_WORDS, "", width, style="$quiet"), *drawn]

    def _row(self, row: WalkRow, width: int) -> Content:
        if row.item is None:
            return Content.styled(fitted(shown(row.room), width), "bold")
        item, here = row.item, row.item.appliance.uid == self.current
        word, style = _word(item)
        tag = fitted(shown(item.appliance.tag), width // 3)
        name = fitted(shown(item.appliance.name), width - cell_len(tag) - cell_len(word) - 5)
        gap = " " * (width - cell_len(tag) - cell_len(name) - cell_len(word) - 3)
        drawn = Content.assemble("► " if here else "  ", (tag, "$mark"), " ", name, gap, (word, style))
        return drawn.stylize("on $chosen bold") if here else drawn


def _word(item: VisitItem) -> tuple[str, str]:
    if item.inspection is not None:
        return _WORDS[item.inspection.outcome]
    return _LEFT if item.not_inspected else _TO_DO
