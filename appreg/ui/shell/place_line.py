"""The line at the top of every screen: where am I, and what is open."""

from typing import ClassVar

from rich.cells import cell_len, set_cell_size
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.values.text import shown


class PlaceLine(Widget):
    """One line: the place at the left, a count or a state at the right, a rule beneath."""

    DEFAULT_CSS: ClassVar[str] = """
    PlaceLine { dock: top; height: 2; padding: 0 1; color: $ink; border-bottom: solid $rule; }
    """

    left: reactive[str] = reactive("")
    right: reactive[str] = reactive("")
    damaged: reactive[int] = reactive(0)
    """Records that could not be read; said for as long as the screen stands."""

    def render(self) -> Content:
        """Draw both ends as plain text; the left gives way where they meet, but never more than half of it."""
        width = max(self.content_size.width, 1)
        damage = f"! {self.damaged} damaged: appreg verify" if self.damaged else ""
        right = fitted(" · ".join(part for part in (damage, shown(self.right)) if part), width // 2)
        room = max(width - cell_len(right) - (2 if right else 0), 0)
        left = fitted(shown(self.left), room)
        gap = " " * max(width - cell_len(left) - cell_len(right), 0)
        head, dot, rest = left.partition(" · ")
        tone = "bold $fail" if damage else "$quiet"
        return Content.assemble((head, "bold $mark"), dot, (rest, "bold"), gap, (right, tone))


def fitted(text: str, width: int) -> str:
    """Cut a text to a number of cells, an ellipsis where something is missing."""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, max(width - 1, 0)).rstrip() + "…" if width > 0 else ""
