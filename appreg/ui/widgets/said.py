"""A text that is drawn anew only when it changes; what a person typed is plain text here."""

from textual.widgets import Static

from appreg.core.values.text import shown


class Said(Static):
    """A plain text in one place; `grows` where its height follows the text."""

    def __init__(self, *, grows: bool = False, id: str | None = None, classes: str | None = None) -> None:  # noqa: A002 - Textual's own name
        """Start empty."""
        super().__init__(markup=False, id=id, classes=classes)
        self._said = ""
        self._grows = grows

    def say(self, text: str) -> None:
        """Show a text, hidden characters made visible."""
        if text != self._said:
            self._said = text
            self.update(shown(text), layout=self._grows)
