"""A list under its filter line: type words and keys, and see how many rows answer."""

from collections.abc import Mapping
from typing import ClassVar, Final

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.events import Key
from textual.widgets import Input, Static

from appreg.ui.lists.filter_help import FILTER_HELP
from appreg.ui.lists.row_sources import RowSource
from appreg.ui.lists.virtual_rows import of_unit
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.shell.steady_pump import SteadyPump
from appreg.ui.widgets.plain_input import PlainInput

UNCOUNTED: Final = "…"
"""Stands for a count of rows that are not all known yet."""
_ROOMY: Final = 60
"""Cells from which there is room to speak of hidden columns."""


class FilterInput(PlainInput):
    """What rows must answer to; Enter keeps it, Escape clears it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "Clear the filter", show=False)]

    def __init__(self, *, picks: bool) -> None:
        """`picks`: the keyboard stays here, and enter takes the row under the cursor."""
        hint = "type to find" if picks else "/ to type words"
        super().__init__(placeholder=hint, select_on_focus=False, compact=True)
        self.picks = picks
        self.acts: Mapping[str, str] = {}
        """By key what the screen does instead of typing it."""

    def field_at_hand(self) -> tuple[str, FieldHelp]:
        """What F1 says of it."""
        return "filter", FILTER_HELP

    async def on_key(self, event: Key) -> None:
        """Where a row is to be chosen, the first and the last key lead through the rows, and some act upon them."""
        if event.key in self.acts:
            event.stop()
            event.prevent_default()
            await self.screen.run_action(self.acts[event.key])
            return
        move = {"home": "first", "end": "last"}.get(event.key)
        if self.picks and move is not None:
            event.stop()
            event.prevent_default()
            await self.screen.run_action(f'in_list("{move}")')

    async def action_leave(self) -> None:
        """Clear the words and go back to the list; where the keyboard stays, leave the screen once nothing is typed."""
        if not self.picks:
            self.clear()
            self.post_message(self.Submitted(self, ""))
        elif self.value:
            self.clear()
        else:
            await self.screen.run_action("back")


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

    def __init__(
        self,
        table: VirtualTable,
        *,
        picks: bool = False,
        id: str | None = None,  # noqa: A002 - Textual's own name
    ) -> None:
        """`picks`: one row is to be chosen, and the keyboard is in the filter line from the start."""
        super().__init__(id=id)
        self.table = table
        table.leads = picks
        self._picks = picks

    def compose(self) -> ComposeResult:
        """Filter line above, list below."""
        with Horizontal(classes="filter-line"):
            yield Static("filter", classes="filter-word", markup=False)
            yield FilterInput(picks=self._picks)
            yield Static("", classes="filter-count", markup=False)
        yield self.table

    @property
    def words(self) -> str:
        """What is typed in the filter line."""
        return self.query_one(FilterInput).value

    def clear_filter(self) -> bool:
        """Show all rows again; False where no filter is in force."""
        filtered = bool(self.words)
        self.query_one(FilterInput).clear()
        return filtered

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
        if self._picks:
            self.table.action_open()
        else:
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
        filtered, all_rows = bool(table.arrangement.text), of_unit(table.total, table.unit)
        parts = [f"{table.row_count} of {all_rows}" if filtered else all_rows]
        if table.choice.keys:
            parts.append(f"{len(table.choice.keys)} chosen")
        if table.hidden_columns and self.size.width >= _ROOMY:
            more = "1 more column" if table.hidden_columns == 1 else f"{table.hidden_columns} more columns"
            parts.append(f"{more} when wider")
        return " · ".join(parts)
