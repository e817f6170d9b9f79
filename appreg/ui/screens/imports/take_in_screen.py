"""The question before a table is taken in."""

from collections.abc import Iterator
from pathlib import Path
from typing import ClassVar

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.tasks.importing.row_plans import ImportPlan
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command


class TakeInScreen(CommandModal[bool]):
    """What is about to be taken in, and what copy was kept; returns True where it is wanted."""

    CSS_PATH = "take_in_screen.tcss"
    TITLE_IN_HELP = "Take a table in"
    HOLDS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="take", key="y", label="take them in", help="Take in every row that can be, as one change."),
        Command(action="back", key="escape", label="leave everything as it is", help="Change nothing."),
    )

    def __init__(self, plan: ImportPlan, copy: Path | None) -> None:
        super().__init__()
        self._plan = plan
        self._copy = copy

    def compose_body(self) -> Iterator[Widget]:
        """The sentences, one below the other."""
        plan, left = self._plan, self._plan.left_out
        with VerticalScroll():
            yield _sentence(f"{counted(plan.taken, 'row')} of {plan.order.source.name} will be taken in.", "taken")
            if left:
                yield _sentence(f"{counted(left, 'row')} will be left out; the list says why.", "left")
            disagreeing = sum(1 for row in plan.rows if row.disagreements)
            if disagreeing:
                yield _sentence(
                    f"{counted(disagreeing, 'row')} state something else than their readings come to; "
                    "what our limits say counts, and a stated failure stands.",
                    "left",
                )
            if self._copy is not None:
                yield _sentence(f"The register as it is now was kept as {self._copy.name}.", "copy")
            yield _sentence("It becomes one change, which is undone as one.", "copy")

    def load(self) -> None:
        """Name the screen."""
        self.show_place(f"Take in · {self._plan.order.source.name}")

    def action_take(self) -> None:
        """It is wanted."""
        self.dismiss(True)


def _sentence(sentence: str, kind: str) -> Static:
    return Static(Content(shown(sentence)), classes=kind, markup=False)
