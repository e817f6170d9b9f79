"""Settings: what can be set; a change holds at once."""

from functools import partial
from typing import Any, ClassVar

from msgspec.structs import replace
from textual import on

from appreg.progress import Progress
from appreg.tasks.desk.confirm_cautions import NOT_KEPT, cautions_confirmed, confirm_cautions
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.desk.name_operator import machine_name
from appreg.tasks.keeping.verify_register import Verification, verify_with_seal
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.print_on_paper import pick_printer
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.screens.settings.setting_lines import (
    KEYS,
    PRINTERS,
    SETTING_COLUMNS,
    next_answer,
    setting_lines,
)
from appreg.ui.screens.settings.setting_list import SettingListScreen
from appreg.ui.screens.settings.typed_forms import (
    NUMBERS,
    PLACES,
    FolderForm,
    NumberForm,
    OffsetsForm,
    PlaceForm,
    TypefacesForm,
    WhoForm,
)
from appreg.ui.shell.commands import Command
from appreg.ui.shell.places import make_screen


class SettingsScreen(SettingListScreen):
    """One list of what can be set; the line under the cursor is explained below."""

    TITLE_IN_HELP = "Settings"
    COLUMNS = SETTING_COLUMNS
    UNIT = "settings"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="change",
            key="enter",
            label="change",
            help="Take the next answer, type another, or go to the list of keys.",
            at_cursor=True,
        ),
        Command(
            action="usual",
            key="delete,backspace",
            label="as usual",
            help="Put the line back to what it usually is.",
            at_cursor=True,
        ),
        Command(
            action="check_register",
            key="v",
            label="check the register",
            help="Check the file, its journal and that both agree; tells the seal, or every problem.",
        ),
    )

    def load(self) -> None:
        """Show what is set."""
        self.show_lines(setting_lines(self.shell.settings))
        self.show_place("Settings", self.shell.settings_place)

    @on(VirtualTable.Opened)
    def action_change(self) -> None:
        """Change the line under the cursor."""
        line = self.line_or_say()
        if line is None:
            return
        settings = self.shell.settings
        if line.name == KEYS:
            self.shell.open_screen("keys")
        elif line.answers:
            self._set(line.name, next_answer(line, getattr(settings, line.name)))
        elif line.name in PRINTERS:
            pick_printer(
                self, f"Which {line.what}?", now=getattr(settings, line.name), then=partial(self._set, line.name)
            )
        elif line.name == "who":
            form = WhoForm(self._desk, settings.who, machine_name())
            self.app.push_screen(FormScreen(form), lambda who: None if who is None else self._set_who(who))
        elif line.name == "second_folder":
            folder = FolderForm(self._desk, settings.second_folder)
            self.app.push_screen(FormScreen(folder), lambda kept: None if kept is None else self._set(line.name, kept))
        elif line.name in PLACES:
            place = PlaceForm(self._desk, PLACES[line.name], getattr(settings, line.name))
            self.app.push_screen(FormScreen(place), lambda kept: None if kept is None else self._set(line.name, kept))
        elif line.name == "typefaces":
            faces = TypefacesForm(self._desk, settings.typefaces)
            self.app.push_screen(FormScreen(faces), lambda kept: None if kept is None else self._set(line.name, kept))
        elif line.name == "printer_offsets":
            offsets = OffsetsForm(self._desk, settings.printer_offsets)
            self.app.push_screen(FormScreen(offsets), lambda kept: None if kept is None else self._set(line.name, kept))
        else:
            number = NumberForm(self._desk, NUMBERS[line.name], getattr(settings, line.name))
            self.app.push_screen(FormScreen(number), lambda kept: None if kept is None else self._set(line.name, kept))

    def action_usual(self) -> None:
        """Put the line under the cursor back to what it usually is."""
        line = self.line_or_say()
        if line is None:
            return
        usual = getattr(Settings(), line.name)
        self._set_who(usual) if line.name == "who" else self._set(line.name, usual)

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

    def _set_who(self, who: str) -> None:
        """Another person confirms the cautions first."""
        name = who or machine_name()
        if cautions_confirmed(self.shell.register.path, name):
            self._set("who", who)
            return

        def answered(read: bool | None) -> None:
            if read:
                self._set("who", who)
                if not confirm_cautions(self.shell.register.path, name, self.shell.today):
                    self.shell.warn(NOT_KEPT)

        self.app.push_screen(make_screen("caution"), answered)

    def _set(self, name: str, value: Any) -> None:
        self.shell.change_settings(replace(self.shell.settings, **{name: value}))
        if name == KEYS:
            self.refresh_keys()
        self.load()
