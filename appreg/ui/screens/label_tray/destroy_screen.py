"""Labels on a printed sheet that no longer hold, and those left out: read before anything else is done."""

from collections.abc import Iterator, Sequence
from typing import ClassVar

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.tasks.documents.confirm_printed import SpoiltLabel
from appreg.tasks.documents.print_labels import LeftOut
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command


class DestroyScreen(CommandModal[None]):
    """Names each label with its sheet and place; one deliberate key closes it."""

    CSS_PATH = "destroy_screen.tcss"
    TITLE_IN_HELP = "Labels not to be used"
    HOLDS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="done",
            key="y",
            label="yes, I have read this",
            help="Close the list; do it once the labels named here are destroyed.",
        ),
        Command(action="done", key="escape", label="close", help="Close the list.", in_footer=False),
    )

    def __init__(self, spoilt: Sequence[SpoiltLabel], left_out: Sequence[LeftOut]) -> None:
        super().__init__()
        self._spoilt = spoilt
        self._left_out = left_out

    def compose_body(self) -> Iterator[Widget]:
        """Those to be destroyed first, then those that were never drawn."""
        with VerticalScroll():
            for spoilt in self._spoilt:
                yield Static(Content.styled(shown(spoilt.sentence), "bold $fail"), markup=False)
            for left in self._left_out:
                yield Static(Content.styled(shown(left.sentence), "$doubt"), classes="left-out", markup=False)

    def load(self) -> None:
        """Name the screen and count."""
        count = len(self._spoilt)
        self.show_place("Labels not to be used", f"{count} to destroy" if count else "left out")

    def action_done(self) -> None:
        """Close once it was read."""
        self.dismiss(None)
