"""Asks for another key by having it pressed."""

from collections.abc import Iterator, Mapping
from typing import ClassVar

from textual import events
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.text import shown
from appreg.ui.command_screen import CommandModal
from appreg.ui.commands import Command
from appreg.ui.key_map import key_refusal
from appreg.ui.screens.settings.setting_lines import SettingLine


class KeyScreen(CommandModal[str]):
    """Takes the next key that the command can have; returns it by Textual's name."""

    CSS_PATH = "key_screen.tcss"
    TITLE_IN_HELP = "Another key"
    HOLDS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="back", key="escape", label="leave it as it is", help="Keep the key that it has."),
    )

    def __init__(self, *, line: SettingLine, changed: Mapping[str, str]) -> None:
        super().__init__()
        self._line = line
        self._changed = changed

    def compose_body(self) -> Iterator[Widget]:
        """What is asked, and why a key was refused."""
        with Vertical():
            yield Static(f"Press the key for “{self._line.what}”, now {self._line.now}.", id="asked", markup=False)
            yield Static(self._line.help, id="help", markup=False)
            yield Static("", id="refusal", markup=False)

    def load(self) -> None:
        """Name the screen."""
        self.show_place(f"Settings · key · {self._line.place}")

    def on_key(self, event: events.Key) -> None:
        """Take the key, or say why it cannot be."""
        if event.key in {"escape", "f1"}:
            return
        event.stop()
        event.prevent_default()
        refusal = key_refusal(self._line.name, event.key, self._changed)
        if refusal:
            self.query_one("#refusal", Static).update(shown(f"! {refusal}"))
        else:
            self.dismiss(event.key)
