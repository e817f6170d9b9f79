"""Rows of text that fit as they are: each is made ready for the terminal once, for as long as it says the same.

Textual breaks, styles and measures every line of a widget anew whenever one of them changes.
"""

from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style as RichStyle
from textual.content import Content, Span
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.style import Style
from textual.widget import Widget

_Said = tuple[str, tuple[Span, ...]]
"""A row's text and its styles."""


class DrawnRows(Widget):
    """Draws the rows that a subclass gives; none of them is broken, and none is selected with the mouse."""

    ALLOW_SELECT: ClassVar[bool] = False

    _drawn: Sequence[Content] | None = None
    """The rows as they were given last; None: something has changed since."""
    _drawn_for: Size | None = None
    _styled: Style | None = None

    def __init__(self) -> None:
        """Start with nothing drawn."""
        super().__init__()
        self._made: dict[_Said, Strip] = {}
        self._strips: list[Strip] = []
        self._blank = RichStyle.null()

    def rows(self) -> Sequence[Content]:
        """What stands there, a row each, none wider than the content; nothing unless a subclass says more."""
        return ()

    def render(self) -> Content:
        """The same in one piece."""
        return Content("\n").join(self.rows())

    def refresh(
        self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False
    ) -> "DrawnRows":
        """Textual calls this with whatever has changed."""
        self._drawn = None
        super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)
        return self

    def notify_style_update(self) -> None:
        """Textual calls this where a colour may have become another one."""
        self._drawn = self._styled = None
        super().notify_style_update()

    def render_line(self, y: int) -> Strip:
        """One row, in the style of the widget."""
        if self._drawn is None or self._drawn_for != self.content_size:
            self._take_up()
        return self._strips[y] if y < len(self._strips) else Strip.blank(self.content_size.width, self._blank)

    def _take_up(self) -> None:
        """Make ready what is said anew, and keep no more than stands there."""
        style = self.visual_style
        before = self._made if self._styled == style else {}
        self._drawn, self._drawn_for, self._styled = self.rows(), self.content_size, style
        said = [(row.plain, tuple(row.spans)) for row in self._drawn]
        self._made = {
            each: before.get(each) or self._strip(row, style) for each, row in zip(said, self._drawn, strict=True)
        }
        self._strips = [self._made[each] for each in said]
        self._blank = style.rich_style

    def _strip(self, row: Content, style: Style) -> Strip:
        parts = row.render(style, end="", parse_style=self.app.stylesheet.parse_style)
        return Strip([Segment(text, (style + own).rich_style) for text, own in parts], row.cell_length)
