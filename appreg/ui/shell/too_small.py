"""Stands before a screen for which the terminal has no room; what was typed waits behind it."""

from typing import ClassVar, Final

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.ui.shell.commands import written_key

QUIT: Final = "ctrl+q"
"""The key that acts all the same."""


class TooSmall(Widget):
    """Covers the screen and says how much room it needs."""

    DEFAULT_CSS: ClassVar[str] = """
    TooSmall { layer: too-small; dock: top; width: 100%; height: 100%; display: none; background: $background; }
    """

    words: reactive[str] = reactive("")

    def fit(self, least: tuple[int, int], width: int, height: int) -> None:
        """Come into sight where there are fewer columns or lines than the least."""
        self.display = width < least[0] or height < least[1]
        needed = f"too small: {width} × {height}\nat least {least[0]} × {least[1]}"
        self.words = f"{needed}\nnothing is lost;\nkeys rest;\n{written_key(QUIT)} quits"

    def render(self) -> Content:
        """Draw the words."""
        return Content(self.words)
