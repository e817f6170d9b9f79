"""A typed field that shows what is pasted into it and lets none of it act on the terminal."""

from contextlib import suppress
from typing import ClassVar, Final

from rich.text import Text
from textual import events
from textual.binding import BindingType
from textual.dom import NoScreen
from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input

from appreg.core.values.text import is_hidden, shown
from appreg.ui.shell.field_keys import FIELD_BINDINGS

LONGEST_PASTE: Final = 4096
"""Characters taken from one paste: the longest path of a file, and ten times the longest text that is kept."""
_STAND_IN = "\N{REPLACEMENT CHARACTER}"


class PlainInput(Input, inherit_bindings=False):
    """Keeps every character for the task to judge; ^a marks all, so that the next letter replaces it."""

    BINDINGS: ClassVar[list[BindingType]] = [*FIELD_BINDINGS]
    virtual_size = Reactive(Size(0, 0))
    """Textual lays the whole screen out anew for each letter more; the field stays as wide as it was laid out."""

    def on_mount(self) -> None:
        """Nothing blinks."""
        self.cursor_blink = False

    def on_unmount(self) -> None:
        """Let go of the screen's signal: it would keep the field alive as long as the screen."""
        with suppress(NoScreen):
            self.screen.text_selection_started_signal.unsubscribe(self)

    @property
    def _value(self) -> Text:
        """The value as drawn: one stand-in for each hidden character, so that the cursor stays in step."""
        return Text("".join(map(_drawn, self.value)), no_wrap=True, overflow="ignore", end="")

    def _on_paste(self, event: events.Paste) -> None:
        """Take all of a paste, where Textual keeps its first line."""
        event.stop()
        event.prevent_default()
        text = event.text
        if len(text) > LONGEST_PASTE:
            self._warn(
                f"{len(text)} characters were pasted; the first {LONGEST_PASTE} are taken, the rest is left out."
            )
            text = text[:LONGEST_PASTE]
        if text:
            self.take_pasted(text)

    def take_pasted(self, text: str) -> None:
        """Put a paste in the place of what is marked; a field has one line, so several stand in it one by one."""
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        if len(lines) > 1:
            self._warn(f"{len(lines)} lines were pasted into one field: they stand in it one behind the other.")
        line = " ".join(lines) if len(text.splitlines()) > 1 else text.rstrip("\r\n")
        self.replace(self._fitting(line), *sorted(self.selection))

    def _fitting(self, line: str) -> str:
        """As much of a line as the field has room for; what is left out is told."""
        room = len(line) if not self.max_length else self.max_length - len(self.value) + len(self.selected_text)
        if room < len(line):
            self._warn(f"There is room for {self.max_length} characters: the last {len(line) - room} are left out.")
        return line[:room]

    def _warn(self, sentence: str) -> None:
        self.notify(sentence, severity="warning", markup=False, timeout=10)


def _drawn(character: str) -> str:
    if not is_hidden(character):
        return character
    visible = shown(character)
    return visible if len(visible) == 1 else _STAND_IN
