"""Show why a line of the bench says what it says."""

from collections.abc import Iterator

from textual.containers import Horizontal, VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.text import shown
from appreg.ui.command_screen import CommandModal
from appreg.ui.commands import Command


class WhyScreen(CommandModal[None]):
    """Arithmetic, source, edition and basis of one line."""

    CSS_PATH = "why_screen.tcss"
    TITLE_IN_HELP = "Why"
    DECLARED = (Command(action="back", key="escape,enter,question_mark", label="back", help="Go back to the bench."),)

    def __init__(self, *, about: str, rows: tuple[tuple[str, str], ...]) -> None:
        """Show rows of what is asked and what is answered."""
        super().__init__()
        self._about = about
        self._rows = rows

    def compose_body(self) -> Iterator[Widget]:
        """Give one row a question."""
        with VerticalScroll():
            for asked, answer in self._rows:
                with Horizontal():
                    yield Static(asked, classes="asked", markup=False)
                    yield Static(shown(answer), classes="answer", markup=False)

    def load(self) -> None:
        """Say which line it is about."""
        self.show_place(f"Why · {self._about}")
