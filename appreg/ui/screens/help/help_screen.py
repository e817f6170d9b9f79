"""The help page of a screen, made from the commands it declares."""

from collections.abc import Iterator, Sequence

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.ui.app import APP_COMMANDS
from appreg.ui.cautions import CAUTIONS
from appreg.ui.command_screen import CommandModal
from appreg.ui.commands import Command, written_key

_KEY_WIDTH = 14


class HelpScreen(CommandModal[None]):
    """Every key of one screen, then the keys that work everywhere, then the cautions."""

    CSS_PATH = "help_screen.tcss"
    TITLE_IN_HELP = "Help"

    def __init__(self, *, title: str, commands: Sequence[Command]) -> None:
        super().__init__()
        self._title = title
        self._commands = commands

    def compose_body(self) -> Iterator[Widget]:
        """Three sections in one scrolling page."""
        with VerticalScroll():
            yield Static(_section(f"Here: {self._title}" if self._title else "Here"), markup=False)
            yield Static(Content("\n").join(_line(command) for command in self._commands), markup=False)
            yield Static(_section("Everywhere"), markup=False)
            yield Static(Content("\n").join(_line(command) for command in APP_COMMANDS), markup=False)
            yield Static(_section("With care"), markup=False)
            for what, why in CAUTIONS:
                yield Static(Content.assemble((what, "bold"), " ", why), markup=False, classes="caution")

    def load(self) -> None:
        """Name the screen."""
        self.show_place("Help" + (f" · {self._title}" if self._title else ""), "esc goes back")

    def on_mount(self) -> None:
        """Let the arrow keys scroll at once."""
        self.query_one(VerticalScroll).focus()


def _section(title: str) -> Content:
    return Content.styled(title, "bold $mark")


def _line(command: Command) -> Content:
    keys = ", ".join([command.key_in_words, *map(written_key, command.keys[1:])]) or "in ^p only"
    return Content.assemble((keys.ljust(_KEY_WIDTH), "bold"), f"{command.label:<16} ", (command.help, "$quiet"))
