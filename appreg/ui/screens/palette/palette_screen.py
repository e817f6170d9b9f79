"""The list of commands: a few letters find any command of the program, wherever it is done."""

from collections.abc import Sequence
from typing import ClassVar

from msgspec import Struct
from textual.content import Content
from textual.dom import DOMNode

from appreg.ui.lists.search_modal import SearchModal
from appreg.ui.shell.commands import Command
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.widgets.plain_input import PlainInput


class OfferedCommand(Struct, frozen=True):
    """A command together with what it acts on."""

    command: Command
    target: DOMNode | None
    """None: it is done on another screen."""
    place: str = ""
    """Where it is done, if not here and not everywhere."""


class PaletteScreen(SearchModal[OfferedCommand]):
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

    def make_field(self) -> PlainInput:
        """A field for words of the command."""
        return PlainInput(placeholder="a few letters of what you want to do")

    def field_at_hand(self) -> tuple[str, FieldHelp]:
        """What F1 says of the field."""
        return "what you want to do", FieldHelp(
            "Letters of what a command is called or does, or of where.", "print label"
        )

    def load(self) -> None:
        """Show everything until something is typed."""
        self.show_place("Commands")
        self.look_for("")

    def action_choose(self) -> None:
        """Return the highlighted command."""
        place = self.highlighted
        if place is not None and place < len(self._matching):
            self.dismiss(self._matching[place])

    def look_for(self, typed: str) -> None:
        """Keep what matches every word typed."""
        words = typed.casefold().split()
        self._matching = [o for o in self._offered if all(word in _searched(o) for word in words)]
        begun = typed.strip().casefold()
        self._matching.sort(key=lambda offer: _rank(offer, begun))
        self.show_found([_line(offer) for offer in self._matching])
        self.say("" if self._matching else "no command answers to that")


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
