"""The list of commands: a few letters find any command of the program, wherever it is done."""

from collections.abc import Iterator, Sequence
from typing import ClassVar

from msgspec import Struct
from textual import on
from textual.containers import Vertical
from textual.content import Content
from textual.dom import DOMNode
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command
from appreg.ui.widgets.plain_input import PlainInput


class OfferedCommand(Struct, frozen=True):
    """A command together with what it acts on."""

    command: Command
    target: DOMNode | None
    """None: it is done on another screen."""
    place: str = ""
    """Where it is done, if not here and not everywhere."""


class PaletteScreen(CommandModal[OfferedCommand]):
    """Type a few letters, choose, enter; returns the chosen command."""

    CSS_PATH = "palette_screen.tcss"
    TITLE_IN_HELP = "Commands"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="choose", key="enter", label="do it", help="Do the chosen command."),
        Command(action="move(1)", key="down", label="next", help="The next command of the list."),
        Command(action="move(-1)", key="up", label="previous", help="The command before.", in_footer=False),
    )

    def __init__(self, *, offered: Sequence[OfferedCommand]) -> None:
        super().__init__()
        self._offered = offered
        self._matching: list[OfferedCommand] = []

    def compose_body(self) -> Iterator[Widget]:
        """A field and what matches it."""
        with Vertical():
            yield PlainInput(placeholder="a few letters of what you want to do")
            yield Static("", id="answer", markup=False)
            yield OptionList(markup=False)

    def load(self) -> None:
        """Show everything until something is typed."""
        self.show_place("Commands")
        self._show("")

    @on(Input.Changed)
    def narrow(self, event: Input.Changed) -> None:
        """Keep what matches every word typed."""
        self._show(event.value)

    @on(Input.Submitted)
    def choose_typed(self) -> None:
        """Enter in the field does the highlighted command."""
        self.action_choose()

    @on(OptionList.OptionSelected)
    def choose_listed(self) -> None:
        """Enter or a click in the list does the same."""
        self.action_choose()

    def action_move(self, step: int) -> None:
        """Move the highlight, wherever the focus is."""
        listed = self.query_one(OptionList)
        if step > 0:
            listed.action_cursor_down()
        else:
            listed.action_cursor_up()

    def action_choose(self) -> None:
        """Return the highlighted command."""
        place = self.query_one(OptionList).highlighted
        if place is not None and place < len(self._matching):
            self.dismiss(self._matching[place])

    def _show(self, typed: str) -> None:
        words = typed.casefold().split()
        self._matching = [o for o in self._offered if all(word in _searched(o) for word in words)]
        begun = typed.strip().casefold()
        self._matching.sort(key=lambda offer: _rank(offer, begun))
        listed = self.query_one(OptionList)
        listed.clear_options()
        listed.add_options([Option(_line(offer)) for offer in self._matching])
        listed.highlighted = 0 if self._matching else None
        self.query_one("#answer", Static).update("" if self._matching else "no command answers to that")


def _rank(offer: OfferedCommand, begun: str) -> tuple[bool, bool, bool]:
    """What begins so first, then what is called so, then what is done here."""
    label = offer.command.label.casefold()
    return not label.startswith(begun), begun not in label, offer.target is None


def _searched(offer: OfferedCommand) -> str:
    return f"{offer.command.label} {offer.place} {offer.command.help}".casefold()


def _line(offer: OfferedCommand) -> Content:
    command = offer.command
    return Content.assemble(
        (f"{command.label:<23} ", "bold" if offer.target is not None else ""),
        (f"{command.key_in_words:<10} ", "$mark"),
        (f"{offer.place}: " if offer.place else "", "$mark"),
        (command.help, "$quiet"),
    )
