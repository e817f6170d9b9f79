"""One answer out of many: a list to filter and choose from."""

from collections.abc import Iterable, Sequence
from typing import ClassVar, Final

from msgspec import Struct
from textual import on
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.ui.lists.list_pane import ListPane
from appreg.ui.lists.list_screen import ListModal
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.shell.commands import Command


class Answer(Struct, frozen=True):
    """One of the answers."""

    key: str
    """What is returned; empty is an answer too."""
    words: str
    """What the person reads."""


_COLUMNS: Final[tuple[FieldColumn[Answer], ...]] = (
    FieldColumn(key="words", title="choose one", min_width=20, max_width=70, text=lambda answer: answer.words),
)


class PickScreen(ListModal[str]):
    """Asks for one of some answers; returns its key, or None when left."""

    CSS_PATH = "pick_screen.tcss"
    TITLE_IN_HELP = "Choose one"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="take", key="enter", label="take it", help="Take the answer under the cursor."),
    )

    def __init__(self, question: str, answers: Sequence[Answer], *, now: str | None = None) -> None:
        """Ask a question; `now` is the key of the answer that holds at present."""
        super().__init__()
        self._question = question
        self._answers = answers
        self._now = now

    def compose_body(self) -> Iterable[Widget]:
        """The question and its answers."""
        with Vertical(id="asked"):
            yield Static(Content(shown(self._question)), id="question", markup=False)
            yield ListPane(VirtualTable(_COLUMNS, unit="answers"), picks=True)

    def start_keyboard(self) -> None:
        """Typing finds an answer at once, and enter takes the one that is shown under the cursor."""
        self.pane.start_filter()

    def load(self) -> None:
        """Show the answers."""
        self.show_place(self._question)
        self.pane.show(MemoryRows(_COLUMNS, self._answers, key=lambda answer: answer.key))
        if self._now is not None:
            self.table.move_to(self._now)

    def action_take(self) -> None:
        """Return the answer under the cursor; where the filter lets none through, the question stays."""
        if self.table.cursor_key is None:
            self.say_no_row()
        else:
            self.dismiss(self.table.cursor_key)

    @on(VirtualTable.NoRow)
    def say_no_row(self) -> None:
        """Say why a key does nothing."""
        self.shell.say(f"There is no answer here to take: {self.table.words_when_empty()}.")

    @on(VirtualTable.Opened)
    def _opened(self, message: VirtualTable.Opened) -> None:
        message.stop()
        self.dismiss(message.key)
