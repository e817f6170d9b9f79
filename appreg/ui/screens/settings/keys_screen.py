"""The key of every command, listed and changed one by one; a change holds at once."""

from collections.abc import Iterator, Mapping
from typing import ClassVar

from msgspec.structs import replace
from textual import events, on
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.settings.setting_lines import KEY_COLUMNS, SettingLine, key_lines
from appreg.ui.screens.settings.setting_list import SettingListScreen
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command, written_key
from appreg.ui.shell.key_map import kept_refusal, key_refusal


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
        self.show_place(f"Settings · keys · {self._line.place}")

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


class KeysScreen(SettingListScreen):
    """Every command with its key; the line under the cursor is explained below."""

    TITLE_IN_HELP = "Keys"
    COLUMNS = KEY_COLUMNS
    UNIT = "commands"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="change", key="enter", label="change", help="Press another key for the command.", at_cursor=True
        ),
        Command(
            action="usual",
            key="delete,backspace",
            label="as usual",
            help="Give the command its usual key again.",
            at_cursor=True,
        ),
    )

    def load(self) -> None:
        """Show the keys as they are set."""
        lines = key_lines(self.shell.settings)
        self.show_lines(lines)
        self.show_place("Settings · keys", f"{len(lines)} commands")

    @on(VirtualTable.Opened)
    def action_change(self) -> None:
        """Ask for another key, unless the command always keeps its own."""
        line = self.line_or_say()
        if line is None:
            return
        keys = self.shell.settings.keys
        if refusal := kept_refusal(line.name):
            self.shell.warn(refusal)
            return

        def pressed(key: str | None) -> None:
            if key is not None:
                self._set_keys({**keys, line.name: key})
                self.shell.say(f"{line.what} is {written_key(key)} now.")

        self.app.push_screen(KeyScreen(line=line, changed=keys), pressed)

    def action_usual(self) -> None:
        """Give the command under the cursor its usual key, unless another has it now."""
        line = self.line_or_say()
        if line is None:
            return
        kept = {name: key for name, key in self.shell.settings.keys.items() if name != line.name}
        refusal = next(filter(None, (key_refusal(line.name, key, kept) for key in line.usual_keys)), "")
        if refusal and kept != self.shell.settings.keys:
            self.shell.warn(refusal)
        else:
            self._set_keys(kept)

    def _set_keys(self, keys: Mapping[str, str]) -> None:
        self.shell.change_settings(replace(self.shell.settings, keys=keys))
        self.refresh_keys()
        self.load()
