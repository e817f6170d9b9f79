"""One row of a table that is to be taken in: what it changes, what is wrong with it, and what to do."""

from collections.abc import Iterator
from typing import ClassVar

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.tasks.importing.row_plans import FieldChange, PlannedRow
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command


class PlannedRowScreen(CommandModal[None]):
    """The row in full."""

    CSS_PATH = "planned_row_screen.tcss"
    TITLE_IN_HELP = "A row to import"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="back", key="escape,enter", label="back", help="Go back to the rows."),
    )

    def __init__(self, row: PlannedRow) -> None:
        super().__init__()
        self._row = row

    def compose_body(self) -> Iterator[Widget]:
        """What it is, problems, disagreements, changes."""
        row = self._row
        with VerticalScroll():
            yield _line(f"Line {row.line}: {row.called or 'no name'}: {row.state}", "what")
            for sentence in (*row.disagreements, *(each.sentence for each in row.problems)):
                yield _line(sentence, "wrong")
            for change in row.changes:
                yield _line(f"{change.field}: {change_words(change)}", "change")
            if not (row.changes or row.problems or row.disagreements):
                yield _line("It changes nothing: the register says the same.", "change")

    def load(self) -> None:
        """Name the screen."""
        self.show_place(f"Import · line {self._row.line}", self._row.state)

    def on_mount(self) -> None:
        """Let the keys move through it."""
        super().on_mount()
        self.query_one(VerticalScroll).focus()


def change_words(change: FieldChange) -> str:
    """What a field becomes, and what stood there."""
    after = change.after or "nothing"
    return f"{change.before} → {after}" if change.before else after


def _line(words: str, kind: str) -> Static:
    return Static(Content(shown(words)), classes=kind, markup=False)
