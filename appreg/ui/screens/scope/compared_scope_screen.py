"""What came of a scope of work that was sent out: an item a line, those first that somebody must see to."""

from collections.abc import Sequence
from typing import ClassVar, Final

from textual import on

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import WORK_WORDS
from appreg.errors import asked_for
from appreg.exchange.scope_file import read_scope_file
from appreg.schedule.scope_of_work import ComparedItem, ScopeComparison, ScopeResult, SentScope
from appreg.tasks.desk.named_file import named_file
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone, date_column, tag_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.forms.form import Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm
from appreg.ui.shell.commands import Command

_TONES: Final = {
    ScopeResult.DONE.value: Tone.GOOD,
    ScopeResult.FAILED.value: Tone.BAD,
    ScopeResult.NOT_DONE.value: Tone.WARN,
}

_COLUMNS: Final[tuple[FieldColumn[ComparedItem], ...]] = (
    FieldColumn(
        key="result",
        title="result",
        min_width=8,
        tone=lambda words: _TONES.get(words, Tone.PLAIN),
        text=lambda line: line.result.value,
    ),
    tag_column(lambda line: line.tag, min_width=8),
    FieldColumn(key="item", title="item", min_width=14, max_width=30, text=lambda line: line.name, priority=2),
    FieldColumn(key="said", title="said of it", min_width=18, max_width=60, text=lambda line: line.said),
    date_column("on", "inspected", lambda line: line.on, priority=3),
    FieldColumn(
        key="work",
        title="wanted",
        min_width=13,
        priority=4,
        text=lambda line: WORK_WORDS[line.work] if line.work else "",
    ),
    FieldColumn(key="site", title="site", min_width=12, max_width=26, text=lambda line: line.site, priority=1),
)


class CompareForm(Form[SentScope]):
    """Asks for the file of the scope that was sent out, and reads it."""

    title = "What came of a scope of work"

    def fields(self) -> Sequence[FormField]:
        """The file."""
        return (FormField(name="file", label="File", required=True),)

    def keep(self, typed: TypedForm) -> SentScope:
        """What was wanted."""
        with asked_for("file"):
            return read_scope_file(named_file(typed.text("file"), field="File"))


class ComparedScopeScreen(ListScreen[None]):
    """A comparison as it was made; made anew, it may tell more."""

    TITLE_IN_HELP = "Compared scope"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="open_item",
            key="enter",
            label="item",
            help="Open the page of the item under the cursor.",
            at_cursor=True,
        ),
    )

    def __init__(self, *, comparison: ScopeComparison) -> None:
        super().__init__()
        self._comparison = comparison
        self._rows: MemoryRows[ComparedItem] = MemoryRows(_COLUMNS, comparison.items, key=_key)

    def make_list(self) -> VirtualTable:
        """The items."""
        return VirtualTable(_COLUMNS, empty="nothing was wanted", unit="items")

    def load(self) -> None:
        """Show the comparison."""
        self.pane.show(self._rows)
        self.show_place(f"Scope of {date_words(self._comparison.made_on)}", self._comparison.words)

    @on(VirtualTable.Opened)
    def action_open_item(self) -> None:
        """Open the page of the item under the cursor."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_no_row()
        elif line.item is None:
            self.shell.say(f"{line.tag} is not in the register.")
        else:
            self.shell.open_screen("item", appliance=line.item)


def _key(line: ComparedItem) -> str:
    return line.key or line.tag
