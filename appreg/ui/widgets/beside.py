"""What stands beside a list where the terminal is wide: more about the row under the cursor."""

from collections.abc import Sequence
from typing import ClassVar

from msgspec import Struct
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.values.text import shown

WIDE = 120
"""Columns from which there is room beside a list."""
TALL = 24
"""Lines from which there is room for more than a list and what it is about."""


class BesideLine(Struct, frozen=True):
    """A line of it."""

    words: str
    style: str = ""
    """A colour of the theme, say $fail; empty: plain."""


class Beside(Widget):
    """A heading and lines, cut off at the width; what does not fit into the height is counted."""

    DEFAULT_CSS: ClassVar[str] = """
    Beside {
        width: 40%; height: 1fr; padding: 0 1; display: none; border-left: solid $secondary;
        text-wrap: nowrap; text-overflow: ellipsis;
    }
    """

    heading: reactive[str] = reactive("")
    lines: reactive[tuple[BesideLine, ...]] = reactive(())

    def tell(self, heading: str, lines: Sequence[BesideLine]) -> None:
        """Show other lines."""
        self.heading, self.lines = heading, tuple(lines)

    def render(self) -> Content:
        """Draw as many lines as there is room for."""
        room = max(1, self.content_size.height - 1)
        lines = self.lines
        if len(lines) > room:
            rest = len(lines) - room + 1
            lines = (*lines[: room - 1], BesideLine(f"and {rest} more", "$quiet"))
        drawn = [Content.styled(shown(self.heading), "bold")]
        drawn += [Content.styled(shown(line.words), line.style) for line in lines]
        return Content("\n").join(drawn)
