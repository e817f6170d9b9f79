"""How far long work is: a bar, the count and the share, in one line that does not blink."""

from typing import ClassVar, Final

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

FULL: Final = "█"
EMPTY: Final = "░"
_WORDS: Final = 26
"""Cells kept for the count."""


class ProgressLine(Widget):
    """A bar from nothing to all, with its numbers in words."""

    DEFAULT_CSS: ClassVar[str] = """
    ProgressLine { height: 1; color: $primary; }
    """

    done: reactive[int] = reactive(0)
    total: reactive[int] = reactive(0)

    def render(self) -> Content:
        """Draw the bar; while nothing is known it says that it started."""
        if self.total <= 0:
            return Content("started")
        share = min(self.done / self.total, 1)
        cells = max(self.content_size.width - _WORDS, 1)
        filled = int(cells * share)
        words = f"  {self.done} of {self.total} · {int(share * 100)} %"
        return Content(FULL * filled + EMPTY * (cells - filled) + words)
