"""Settings: what can be set, and the key of every command; a change holds at once."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, ClassVar

from msgspec.structs import replace
from textual import events, on
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.tasks.desk.confirm_cautions import cautions_confirmed, confirm_cautions
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.desk.name_operator import machine_name
from appreg.tasks.keeping.verify_register import Verification, verify_with_seal
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen, Progress
from appreg.ui.screens.settings.setting_lines import SETTING_COLUMNS, SettingLine, next_answer, setting_lines
from appreg.ui.screens.settings.typed_forms import NUMBERS, FolderForm, NumberForm, WhoForm
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command, written_key
from appreg.ui.shell.key_map import kept_refusal, key_refusal
from appreg.ui.shell.places import make_screen


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


class SettingsScreen(ListScreen[None]):
    """One list of everything that can be set; the line under the cursor is explained below."""

    CSS_PATH = "settings_screen.tcss"
    TITLE_IN_HELP = "Settings"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="change",
            key="enter",
            label="change",
            help="Take the next answer, type another, or press another key for the command.",
        ),
        Command(
            action="usual", key="delete,backspace", label="as usual", help="Put the line back to what it usually is."
        ),
        Command(
            action="check_register",
            key="v",
            label="check the register",
            help="Check the file, its journal and that both agree; tells the seal, or every problem.",
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._rows: MemoryRows[SettingLine] = MemoryRows(SETTING_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """Everything that can be set."""
        return VirtualTable(SETTING_COLUMNS)

    def compose_body(self) -> Iterable[Widget]:
        """The list, the line under the cursor explained."""
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Show what is set."""
        self._rows = MemoryRows(SETTING_COLUMNS, setting_lines(self.shell.settings), key=_key)
        self.pane.show(self._rows)
        self.show_place("Settings", self.shell.settings_place)

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _explain(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        self.query_one("#in-full", Static).update(Content("" if line is None else shown(_in_full(line))))

    @on(VirtualTable.Opened)
    def action_change(self) -> None:
        """Change the line under the cursor."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            return
        settings = self.shell.settings
        if line.is_key:
            self._ask_for_key(line)
        elif line.answers:
            self._set(line.name, next_answer(line, getattr(settings, line.name)))
        elif line.name == "who":
            form = WhoForm(self._desk, settings.who, machine_name())
            self.app.push_screen(FormScreen(form), lambda who: None if who is None else self._set_who(who))
        elif line.name == "second_folder":
            folder = FolderForm(self._desk, settings.second_folder)
            self.app.push_screen(FormScreen(folder), lambda kept: None if kept is None else self._set(line.name, kept))
        else:
            number = NumberForm(self._desk, NUMBERS[line.name], getattr(settings, line.name))
            self.app.push_screen(FormScreen(number), lambda kept: None if kept is None else self._set(line.name, kept))

    def action_usual(self) -> None:
        """Put the line under the cursor back to what it usually is."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            return
        if not line.is_key:
            usual = getattr(Settings(), line.name)
            self._set_who(usual) if line.name == "who" else self._set(line.name, usual)
            return
        kept = {name: key for name, key in self.shell.settings.keys.items() if name != line.name}
        refusal = next(filter(None, (key_refusal(line.name, key, kept) for key in line.usual_keys)), "")
        if refusal and kept != self.shell.settings.keys:
            self.shell.warn(refusal)
        else:
            self._set_keys(kept)

    def action_check_register(self) -> None:
        """Check the register in a thread, then show what was found."""
        register = self.shell.register

        def check(progress: Progress) -> Verification:
            return verify_with_seal(register, progress)

        def checked(done: Done[Verification] | None) -> None:
            if done is not None:
                self.shell.open_screen("register_check", found=done.value)

        self.app.push_screen(LongWorkScreen("Checking the register", check), checked)

    @property
    def _desk(self) -> Desk:
        return Desk(self.shell.register, self.shell.who, self.shell.present_day)

    def _ask_for_key(self, line: SettingLine) -> None:
        keys = self.shell.settings.keys
        if refusal := kept_refusal(line.name):
            self.shell.warn(refusal)
            return

        def pressed(key: str | None) -> None:
            if key is not None:
                self._set_keys({**keys, line.name: key})
                self.shell.say(f"{line.what} is {written_key(key)} now.")

        self.app.push_screen(KeyScreen(line=line, changed=keys), pressed)

    def _set_keys(self, keys: Mapping[str, str]) -> None:
        self._set("keys", keys)
        self.refresh_keys()

    def _set_who(self, who: str) -> None:
        """Another person confirms the cautions first."""
        name = who or machine_name()
        if cautions_confirmed(self.shell.register.path, name):
            self._set("who", who)
            return

        def answered(read: bool | None) -> None:
            if read:
                self._set("who", who)
                confirm_cautions(self.shell.register.path, name, self.shell.today)

        self.app.push_screen(make_screen("caution"), answered)

    def _set(self, name: str, value: Any) -> None:
        self.shell.change_settings(replace(self.shell.settings, **{name: value}))
        self.load()


def _key(line: SettingLine) -> str:
    return line.name


def _in_full(line: SettingLine) -> str:
    usual = f" Usually {line.usual}." if line.changed else ""
    return f"{line.what}: {line.help}{usual}"
