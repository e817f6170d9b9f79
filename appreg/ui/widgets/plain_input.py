"""A typed field that shows what is pasted into it and lets none of it act on the terminal."""

from typing import ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widgets import Input

from appreg.core.text import is_hidden, shown

_STAND_IN = "\N{REPLACEMENT CHARACTER}"


class PlainInput(Input):
    """Keeps every character for the task to judge; ^a marks all, so that the next letter replaces it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+a", "select_all", "mark all", show=False)]

    def on_mount(self) -> None:
        """Nothing blinks."""
        self.cursor_blink = False

    @property
    def _value(self) -> Text:
        """The value as drawn: one stand-in for each hidden character, so that the cursor stays in step."""
        return Text("".join(map(_drawn, self.value)), no_wrap=True, overflow="ignore", end="")


def _drawn(character: str) -> str:
    if not is_hidden(character):
        return character
    visible = shown(character)
    return visible if len(visible) == 1 else _STAND_IN
