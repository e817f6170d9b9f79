"""The help page of a screen, made from the commands it declares."""

from collections.abc import Iterator, Sequence

from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.ui.shell.cautions import CAUTIONS
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command, written_key
from appreg.ui.shell.key_words import key_of


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
        only_in = self.shell.in_present_keys(f"{key_of('app.palette', '^p')} only")
        with VerticalScroll():
            yield from _section(f"Here: {self._title}" if self._title else "Here", self._commands, only_in)
            yield from _section("Everywhere", self.shell.keyed_commands(), only_in)
            yield Static("With care", classes="section", markup=False)
            for what, why in CAUTIONS:
                yield Static(Content.assemble((what, "bold $doubt"), " ", why), markup=False, classes="caution")

    def load(self) -> None:
        """Name the screen."""
        self.show_place("Help" + (f" · {self._title}" if self._title else ""), "esc goes back")

    def on_mount(self) -> None:
        """Let the arrow keys scroll at once."""
        self.query_one(VerticalScroll).focus()


def _section(title: str, commands: Sequence[Command], only_in: str) -> Iterator[Widget]:
    yield Static(Content(title), classes="section", markup=False)
    for command in commands:
        keys = ", ".join([command.key_in_words, *map(written_key, command.keys[1:])]) or only_in
        with Horizontal():
            yield Static(Content(keys), classes="key", markup=False)
            yield Static(Content(command.label), classes="label", markup=False)
            yield Static(Content(command.help), classes="help", markup=False)
