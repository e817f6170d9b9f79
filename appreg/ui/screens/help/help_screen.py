"""The help page of a screen: the field at hand, then the commands that the screen declares."""

from collections.abc import Iterator, Sequence

from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.ui.shell.cautions import CAUTIONS
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command, written_key
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.shell.key_words import key_of


class HelpScreen(CommandModal[None]):
    """The field at hand, every key of the screen, the keys that work everywhere, the cautions."""

    CSS_PATH = "help_screen.tcss"
    TITLE_IN_HELP = "Help"

    def __init__(
        self,
        *,
        title: str,
        commands: Sequence[Command],
        field: tuple[str, FieldHelp] | None = None,
        waits: bool = False,
    ) -> None:
        """`field`: what the field at hand is called, and what is said of it; `waits`: it must be answered or left first."""
        super().__init__()
        self._field = field
        self._title = title
        self._commands = commands
        self._everywhere = "Everywhere, once this is answered or left" if waits else "Everywhere"

    def compose_body(self) -> Iterator[Widget]:
        """The sections in one scrolling page."""
        only_in = self.shell.in_present_keys(f"{key_of('app.palette', '^p')} only")
        with VerticalScroll():
            if self._field is not None:
                yield from self._about_field(*self._field)
            yield from _section(f"Here: {self._title}" if self._title else "Here", self._commands, only_in)
            yield from _section(self._everywhere, self.shell.keyed_commands(), only_in)
            yield Static("With care", classes="section", markup=False)
            for what, why in CAUTIONS:
                yield Static(Content.assemble((what, "bold $doubt"), " ", why), markup=False, classes="caution")

    def _about_field(self, label: str, said: FieldHelp) -> Iterator[Widget]:
        yield Static(Content(f"This field: {label.strip()}"), classes="section", markup=False)
        yield Static(Content(self.shell.in_present_keys(said.words)), classes="field-help", markup=False)
        if said.example:
            yield Static(Content(said.as_example), classes="field-help example", markup=False)

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
