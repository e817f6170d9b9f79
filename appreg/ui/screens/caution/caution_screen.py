"""The cautions shown on first start; one deliberate key closes them."""

from collections.abc import Iterator
from typing import ClassVar

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.ui.shell.cautions import CAUTIONS
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command


class CautionScreen(CommandModal[bool]):
    """The cautions; returns True once they have been read."""

    CSS_PATH = "caution_screen.tcss"
    TITLE_IN_HELP = "Before you start"
    HOLDS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="understood",
            key="y",
            label="yes, I have read this and take care",
            help="Confirm that you have read the cautions; it is kept with your name and the date.",
        ),
        Command(action="leave", key="escape", label="close appreg", help="Leave without starting."),
    )

    def compose_body(self) -> Iterator[Widget]:
        """The cautions, one below the other."""
        with VerticalScroll():
            for what, why in CAUTIONS:
                yield Static(Content.assemble((what, "bold $doubt"), " ", why), markup=False)

    def load(self) -> None:
        """Name the screen."""
        self.show_place("Before you start", "please read")

    def action_understood(self) -> None:
        """Close with a yes."""
        self.dismiss(True)

    def action_leave(self) -> None:
        """Close the app."""
        self.dismiss(False)
