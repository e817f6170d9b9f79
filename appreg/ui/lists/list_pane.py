"""A list under its filter line: type words, and see how many rows hold them."""

from typing import ClassVar, Final

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from appreg.ui.lists.row_sources import RowSource
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.shell.steady_pump import SteadyPump
from appreg.ui.widgets.plain_input import PlainInput

UNCOUNTED: Final = "…"
"""Stands for a count of rows that are not all known yet."""
_ROOMY: Final = 60
"""Cells from which there is room to speak of hidden columns."""


class FilterInput(PlainInput):
    """The words that rows must hold; Enter keeps them, Escape clears them."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Clear the filter", show=False)]

    def field_at_hand(self) -> tuple[str, FieldHelp]:
        """What F1 says of it."""
        return "filter", FieldHelp(
            "Words that the rows must hold, or the beginnings of words, in any order.", "kettle kitchen"
        )

    def action_leave(self) -> None:
        """Clear the words and go back to the list."""
        self.clear()
        self.post_message(self.Submitted(self, ""))


class ListPane(SteadyPump, Vertical):
    """One list with its filter line above; the screen talks to `table`."""

    DEFAULT_CSS: ClassVar[str] = """
    ListPane {
        height: 1fr;
        & > .filter-line { height: 1; padding: 0 1; }
        & .filter-word { width: auto; padding: 0 1 0 0; color: $secondary; }
        & .filter-count { width: auto; padding: 0 0 0 2; color: $secondary; }
        & FilterInput, & FilterInput:focus { width: 1fr; height: 1; border: none; padding: 0; }
    }
    """

    def __init__(self, table: VirtualTable, *, id: str | None = None) -> None:  # noqa: A002 - Textual's own name
        super().__init__(id=id)
        self.table = table
        self._total = 0
        """Rows without a filter; 0 until they have all been known once."""

    def compose(self) -> ComposeResult:
        """Filter line above, list below."""
        with Horizontal(classes="filter-line"):
            yield Static("filter", classes="filter-word", markup=False)
            yield FilterInput(placeholder="/ to type words", select_on_focus=False, compact=True)
            yield Static("", classes="filter-count", markup=False)
        yield self.table

    @property
    def words(self) -> str:
        """What is typed in the filter line."""
        return self.query_one(FilterInput).value

    def show(self, source: RowSource) -> None:
        """Show the rows of a source."""
        self.table.show(source)

    def start_filter(self) -> None:
        """Put the keyboard into the filter line; what is typed next takes the place of words that still stand there."""
        words = self.query_one(FilterInput)
        words.focus()
        words.select_all()

    def on_mount(self) -> None:
        """Follow what is typed; a message of it would come when the letter is drawn already, without its rows."""
        self.watch(self.query_one(FilterInput), "value", self._narrow, init=False)

    def _narrow(self, words: str) -> None:
        if self.table.filter(words):
            self._count()

    @on(Input.Changed)
    def _followed(self, message: Input.Changed) -> None:
        message.stop()

    @on(Input.Submitted)
    def _to_the_list(self, message: Input.Submitted) -> None:
        message.stop()
        self.table.focus()

    @on(VirtualTable.Arranged)
    @on(VirtualTable.Chosen)
    def _count(self) -> None:
        """Say how many rows there are, are let through, and are chosen."""
        self.query_one(".filter-count", Static).update(self._counts())

    def on_resize(self) -> None:
        """Say how many columns the width leaves out, once it is known."""
        self.call_after_refresh(self._count)

    def _counts(self) -> str:
        table = self.table
        if not table.is_whole:
            return UNCOUNTED
        filtered = bool(table.arrangement.text)
        if not filtered:
            self._total = table.row_count
        parts = [f"{table.row_count} of {self._total}" if filtered and self._total else f"{table.row_count}"]
        if table.choice.keys:
            parts.append(f"{len(table.choice.keys)} chosen")
        if table.hidden_columns and self.size.width >= _ROOMY:
            more = "1 more column" if table.hidden_columns == 1 else f"{table.hidden_columns} more columns"
            parts.append(f"{more} when wider")
        return " · ".join(parts)
