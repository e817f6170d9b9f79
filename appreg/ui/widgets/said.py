"""A text that is drawn anew only when it changes; what a person typed is plain text here."""

from textual.content import Content
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Static

from appreg.core.values.text import shown


class Said(Static):
    """A plain text in one place; `grows` where its height follows the text."""

    virtual_size = Reactive(Size(0, 0), repaint=False)
    """Textual lays the screen out once more where laying it out has changed a size."""

    def __init__(self, *, grows: bool = False, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        """Start empty."""
        super().__init__(markup=False, id=id, classes=classes)
        self._said = ("", "")
        """The text, and the style of its letters."""
        self._grows = grows

    def say(self, text: str, style: str = "") -> None:
        """Show a text, hidden characters made visible; in a style of its own where it changes with the text.

        A class in its place would have Textual find all styles of the widget anew.
        """
        if (text, style) != self._said:
            self._said = (text, style)
            before = self._rows()
            self.update(Content.styled(shown(text), style), layout=False)
            if self._grows and (not before or self._rows() != before):
                self.refresh(layout=True)

    def _rows(self) -> int:
        """The rows that the text takes as wide as it was laid out; none where it was not."""
        if not (self._grows and self.content_size.width):
            return 0
        rows = self.get_content_height(self.size, self.size, self.content_size.width)
        least, most = self.styles.min_height, self.styles.max_height
        if most is not None and most.is_cells:
            rows = min(rows, int(most.value))
        return max(rows, int(least.value)) if least is not None and least.is_cells else rows
