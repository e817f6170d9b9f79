"""The key of every command, listed and changed one by one; a change holds at once."""

from collections.abc import Iterable, Iterator, Mapping
from typing import ClassVar

from msgspec.structs import replace
from textual import events, on
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.settings.setting_lines import KEY_COLUMNS, SettingLine, in_full, key_lines
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


class KeysScreen(ListScreen[None]):
    """Every command with its key; the line under the cursor is explained below."""

    CSS_PATH = "keys_screen.tcss"
    TITLE_IN_HELP = "Keys"
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

    def __init__(self) -> None:
        super().__init__()
        self._rows: MemoryRows[SettingLine] = MemoryRows(KEY_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The commands."""
        return VirtualTable(KEY_COLUMNS, unit="commands")

    def compose_body(self) -> Iterable[Widget]:
        """The list, the line under the cursor explained."""
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Show the keys as they are set."""
        lines = key_lines(self.shell.settings)
        self._rows = MemoryRows(KEY_COLUMNS, lines, key=_key)
        self.pane.show(self._rows)
        self.show_place("Settings · keys", f"{len(lines)} commands")

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _explain(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        self.query_one("#in-full", Static).update(Content("" if line is None else shown(in_full(line))))

    @on(VirtualTable.Opened)
    def action_change(self) -> None:
        """Ask for another key, unless the command always keeps its own."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_no_row()
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
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_no_row()
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


def _key(line: SettingLine) -> str:
    return line.name
