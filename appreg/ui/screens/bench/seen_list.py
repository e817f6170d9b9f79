"""The visual list in a row or two of words, with a cursor on one of them."""

from typing import ClassVar, Final

from rich.cells import cell_len
from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.values.text import shown
from appreg.ui.screens.bench.bench_entries import LineId, Mark
from appreg.ui.screens.bench.bench_view import SeenWord

MARKS: Final = {Mark.OK: ("√", "$pass"), Mark.BAD: ("X", "bold $fail"), None: ("·", "$ink")}
"""By what was seen: its mark, and the style of it."""
_GAP = 1


class SeenList(Widget, can_focus=True):
    """What to look at, word by word: seen and good, bad, or not yet looked at."""

    DEFAULT_CSS: ClassVar[str] = """
    SeenList { height: auto; width: 1fr; }
    """

    seen: reactive[tuple[SeenWord, ...]] = reactive(())
    cursor: reactive[int] = reactive(0)
    one_row: reactive[bool] = reactive(default=False, layout=True)
    """There is room for the row with the cursor only."""

    @property
    def under_cursor(self) -> SeenWord | None:
        """The word that a key would fail."""
        return self.seen[self.cursor] if self.cursor < len(self.seen) else None

    @property
    def lines(self) -> tuple[LineId, ...]:
        """Every line of the list."""
        return tuple(word.line for word in self.seen)

    def watch_seen(self, before: tuple[SeenWord, ...], seen: tuple[SeenWord, ...]) -> None:
        """Other words may take other rows; marks alone take none."""
        if [word.word for word in before] != [word.word for word in seen]:
            self.refresh(layout=True)

    def move(self, by: int) -> bool:
        """Move the cursor along the words; False where they end."""
        before = self.cursor
        self.cursor = max(0, min(len(self.seen) - 1, before + by))
        return self.cursor != before

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002 - Textual's own signature
        """As many rows as the words need."""
        return 1 if self.one_row else max(1, len(_rows(self.seen, width)))

    def _shown_rows(self) -> list[list[int]]:
        rows = _rows(self.seen, self.size.width)
        return [row for row in rows if self.cursor in row] if self.one_row else rows

    def render(self) -> Content:
        """Draw each word behind its mark."""
        rows = []
        for row in self._shown_rows():
            words = [self._word(place) for place in row]
            rows.append(Content(" " * _GAP).join(words))
        return Content("\n").join(rows)

    def on_click(self, event: events.Click) -> None:
        """Put the cursor on the word under the pointer."""
        offset = event.get_content_offset(self)
        rows = self._shown_rows()
        if offset is None or offset.y >= len(rows):
            return
        position = 0
        for place in rows[offset.y]:
            position += _width(self.seen[place]) + _GAP
            if offset.x < position:
                self.cursor = place
                return

    def _word(self, place: int) -> Content:
        word = self.seen[place]
        mark, style = MARKS[word.mark]
        if self.has_focus and place == self.cursor:
            style = f"{style} reverse"
        return Content.styled(f"{mark}{shown(word.word)}", style)


def _width(word: SeenWord) -> int:
    return 1 + cell_len(shown(word.word))


def _rows(seen: tuple[SeenWord, ...], width: int) -> list[list[int]]:
    rows: list[list[int]] = [[]]
    used = 0
    for place, word in enumerate(seen):
        needed = _width(word) + (_GAP if rows[-1] else 0)
        if rows[-1] and used + needed > width:
            rows.append([])
            used, needed = 0, _width(word)
        rows[-1].append(place)
        used += needed
    return rows
