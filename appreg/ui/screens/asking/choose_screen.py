"""Several answers out of many: a list to filter, in which rows are chosen with space."""

from collections.abc import Collection, Iterable, Sequence
from typing import ClassVar, Final

from msgspec import Struct
from textual import on
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.ui.lists.list_pane import FilterInput, ListPane
from appreg.ui.lists.list_screen import ListModal
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.shell.commands import Command


class ManyAnswer(Struct, frozen=True):
    """One of the answers."""

    key: str
    words: str
    beside: str = ""
    """More about it."""


_COLUMNS: Final[tuple[FieldColumn[ManyAnswer], ...]] = (
    FieldColumn(key="words", title="choose", min_width=20, max_width=50, text=lambda answer: answer.words),
    FieldColumn(key="beside", title="", min_width=16, max_width=40, text=lambda answer: answer.beside, priority=1),
)


class ChooseScreen(ListModal[tuple[str, ...]]):
    """Asks which of some answers; returns their keys, or None when left. None chosen: the one under the cursor."""

    CSS_PATH = "pick_screen.tcss"
    TITLE_IN_HELP = "Choose several"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="choose",
            key="space",
            label="choose",
            help="Choose the row at hand, or let it go; the next word finds another.",
        ),
        Command(action="take", key="enter", label="take them", help="Take what is chosen, else the row at hand."),
        Command(
            action="take_all",
            key="asterisk",
            shown_key="*",
            label="all",
            help="Take all of them, and whatever is added later.",
        ),
    )

    def __init__(self, question: str, answers: Sequence[ManyAnswer], *, now: Collection[str] = ()) -> None:
        """Ask a question; `now` are the keys that hold at present."""
        super().__init__()
        self._question = question
        self._answers = answers
        self._now = tuple(now)

    def compose_body(self) -> Iterable[Widget]:
        """The question and its answers."""
        with Vertical(id="asked"):
            yield Static(Content(shown(self._question)), id="question", markup=False)
            yield ListPane(VirtualTable(_COLUMNS, unit="answers"), picks=True)

    def start_keyboard(self) -> None:
        """Typing finds an answer at once; what chooses is not typed."""
        self.query_one(FilterInput).acts = {"space": "choose", "asterisk": "take_all"}
        self.pane.start_filter()

    def load(self) -> None:
        """Show the answers, those that hold now chosen."""
        self.show_place(self._question, "type to find, space chooses, enter takes")
        self.pane.show(MemoryRows(_COLUMNS, self._answers, key=lambda answer: answer.key))
        self.table.choice.add(self._now)
        if self._now:
            self.table.move_to(self._now[0])

    def action_choose(self) -> None:
        """Choose the row at hand; what is typed next looks for another."""
        self.table.action_choose()
        self.pane.start_filter()

    @on(VirtualTable.Opened)
    def action_take(self) -> None:
        """Return what is chosen, in the order of the answers."""
        chosen = self.table.keys_to_act_on()
        keys = tuple(answer.key for answer in self._answers if answer.key in chosen)
        if keys:
            self.dismiss(keys)
        else:
            self.say_no_row()

    def action_take_all(self) -> None:
        """Return none of them, which stands for all."""
        self.dismiss(())
