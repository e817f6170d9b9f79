"""The app: the register at hand, today, who is working, and the way from screen to screen."""

from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Final

from msgspec.structs import replace
from textual import work
from textual.binding import BindingType
from textual.notifications import Notify

from appreg.clock import Clock, system_clock
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.errors import AppregError
from appreg.tasks.desk.keep_settings import Settings, save_changed_settings
from appreg.ui.downloads import LOOKS_EVERY as LOOKS_AT_DOWNLOADS
from appreg.ui.downloads import OfferedDownloads
from appreg.ui.new_items import offer_new, place_for_new
from appreg.ui.scanning_app import ScanningApp
from appreg.ui.shell.app_commands import APP_COMMANDS
from appreg.ui.shell.command_screen import CommandModal, CommandScreen
from appreg.ui.shell.commands import Command, bindings_of, with_keys
from appreg.ui.shell.key_words import with_present_keys
from appreg.ui.shell.places import make_screen, standing_screens
from appreg.ui.shell.themes import THEMES, theme_for
from appreg.ui.shell.time_watch import FOLLOWS_EVERY, LOOKS_EVERY, TimeWatch
from appreg.ui.widgets.beside import TALL, WIDE

if TYPE_CHECKING:
    from textual.notifications import Notification
    from textual.screen import Screen
    from textual.widget import AwaitMount

    from appreg.register.opening.register_file import Register
    from appreg.tasks.keeping.restore_copy import PreparedRestore
    from appreg.tasks.records.undo_step import DoneStep
    from appreg.ui.lists.list_screen import ListScreen
    from appreg.ui.screens.find.find_screen import UnknownTag
    from appreg.ui.screens.palette.palette_screen import OfferedCommand

LETTERS_READ: Final = 15
"""Letters a second that somebody reads while at work; a long sentence stands longer."""
WRITTEN_BACK_AFTER: Final = 40
"""Changes saved here after which they are carried into the file."""
_BESIDE: Final = 3
"""Cells of a line that no message has: its margins and a scroll bar."""
MOST_TOLD: Final = 3
"""Damaged records told one by one before they are only counted."""


class AppregApp(ScanningApp):
    """The terminal interface over one register."""

    CSS_PATH = "app.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-app-narrow"), (WIDE, "-app-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-app-low"), (TALL, "-app-tall")]
    TITLE = "appreg"
    ENABLE_COMMAND_PALETTE = False
    MODES = standing_screens()
    DEFAULT_MODE = "sites"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of(APP_COMMANDS)]

    def __init__(
        self,
        register: "Register",
        *,
        today: date | Callable[[], date],
        who: str,
        clock: Clock = system_clock,
        settings: Settings | None = None,
        settings_file: Path | None = None,
        told: Sequence[str] = (),
        sixteen_only: bool = False,
    ) -> None:
        """Open on a register; `today` decides what is due, `who` is journalled with every change.

        Where `today` is a day, it holds until the end; asked for each time, it turns and the clock is watched.
        Changed settings go to `settings_file`, or hold until the end where there is none; `told` are
        sentences said once the screen stands; `sixteen_only`: the terminal has no more than sixteen colours.
        """
        super().__init__()
        self.register = register
        self.who = who
        self.clock = clock
        self._time = TimeWatch(register, today, clock)
        self.settings = settings or Settings()
        self._settings_file = settings_file
        self.restore_wanted: PreparedRestore | None = None
        """The checked copy that takes the register's place once the screen is closed."""
        self._sixteen_only = sixteen_only
        self._told = [*told]
        self._damage_told = 0
        self._said_of_file = ""
        self._saved_since = 0
        """Changes saved here since they were last written back."""
        self.done_steps: list[DoneStep] = []
        """What was done to items since the program was opened, the last at the end, as it can be undone."""
        self.downloads = OfferedDownloads(self)
        for theme in THEMES:
            self.register_theme(theme)
        self._leave_unsound_keys()
        self._apply_settings()

    def on_mount(self) -> None:
        """Say what was found wrong at the start."""
        for sentence in self._told:
            self.warn(sentence)
        self.register.damage.heard = lambda _sentence: self.call_later(self._tell_damage)
        if self._time.is_live:
            self.set_interval(LOOKS_EVERY, self.look_at_day)
            self.set_interval(FOLLOWS_EVERY, self.look_at_others)
            self.set_interval(LOOKS_AT_DOWNLOADS, self.downloads.look)
            self.register.on_saved = self._saved
            self.register.leave_log()
            self.begin_beside(self._look_for_doubts)

    @property
    def today(self) -> date:
        """Today; it turns while the program runs."""
        return self._time.present_day()

    def present_day(self) -> date:
        """Today, for those who ask later."""
        return self._time.present_day()

    def look_at_day(self) -> None:
        """Say so where the day has turned, and let the screen on top read what depends on it."""
        sentence = self._time.turned()
        if sentence:
            self.warn(sentence)
            if self.screen_stack and isinstance(self.screen, CommandScreen):
                self.screen.day_turned()

    def look_at_others(self) -> None:
        """Let the screen on top read again where somebody else has saved; where much was saved here, write it back."""
        if self.register.others_saved() and self.screen_stack and isinstance(self.screen, CommandScreen):
            self.screen.others_saved()
        if self._saved_since >= WRITTEN_BACK_AFTER:
            self._saved_since = 0
            self.run_worker(self._write_back, thread=True, group="write back", exit_on_error=False)

    def _write_back(self) -> None:
        """In a thread: no key waits until a database has put into its file what was saved since."""
        with self.register.reopen() as own:
            own.write_back()

    def _saved(self, _reason: str) -> None:
        """Say what is to be said of the clock, again where it was said before work began."""
        self._saved_since += 1
        for sentence in self._time.saved():
            self.warn(sentence)

    @work(thread=True, group="doubts", exit_on_error=False)
    def _look_for_doubts(self) -> None:
        """Look for items that an older version left with a wrong result: in a thread, as it reads every inspection."""
        from appreg.register.lists.damaged_items import items_in_doubt  # noqa: PLC0415 - after the first screen

        with self.register.reopen() as own:
            doubtful = items_in_doubt(own)
        if doubtful:
            self.call_from_thread(self._mend, doubtful)

    def _mend(self, doubtful: Sequence[Uid]) -> None:
        from appreg.tasks.keeping.begin_work import mend_found  # noqa: PLC0415 - hardly any register needs it

        for sentence in mend_found(self.register, doubtful):
            self.warn(sentence)
            if isinstance(self.screen, CommandScreen):
                self.screen.day_turned()

    def change_settings(self, settings: Settings) -> None:
        """Take other settings into use at once, and keep them."""
        if settings.who != self.settings.who:
            from appreg.tasks.desk.name_operator import machine_name  # noqa: PLC0415 - only when somebody else takes over

            self.who = settings.who or machine_name()
        was, self.settings = self.settings, settings
        self._apply_settings()
        if self._settings_file is not None:
            try:
                save_changed_settings(self._settings_file, was, settings)
            except AppregError as refusal:
                self.warn(str(refusal))

    def look_at_file(self) -> None:
        """Say once where the register's file is no longer the one that was opened."""
        fault = self.register.look()
        if fault and fault != self._said_of_file:
            self.warn(
                f"{fault[:-1]}: what is shown may be out of date, and nothing can be saved; leave and open it anew."
            )
        self._said_of_file = fault

    @property
    def settings_place(self) -> str:
        """Where changed settings are kept."""
        return "they hold until you leave" if self._settings_file is None else str(self._settings_file)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Open nothing over a screen that must be answered first."""
        screen = self.screen
        if action == "find" and isinstance(screen, CommandScreen) and screen.HOLDS:
            return False
        return super().check_action(action, parameters)

    def _apply_settings(self) -> None:
        self.theme = theme_for(self.settings, sixteen_only=self._sixteen_only)
        self.set_keymap(dict(self.settings.keys))

    def _leave_unsound_keys(self) -> None:
        """A key changed by hand in the file may not lock anybody out."""
        if self.settings.keys:
            from appreg.ui.shell.key_map import sound_keys  # noqa: PLC0415 - it looks through every screen

            keys, refusals = sound_keys(self.settings.keys)
            self.settings = replace(self.settings, keys=keys)
            self._told += refusals

    def keyed_commands(self) -> tuple[Command, ...]:
        """The commands of the app with the keys that do them now."""
        return with_keys(APP_COMMANDS, self.settings.keys)

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Give the tokens, also where a theme that is not ours is in use."""
        return dict(THEMES[0].variables)

    def in_present_keys(self, sentence: str) -> str:
        """Write the keys that do it now into a sentence that names commands."""
        return with_present_keys(sentence, self.settings.keys)

    def say(self, sentence: str) -> None:
        """Tell something in passing; the sentence may hold anything that a person has typed."""
        self.notify(shown(self.in_present_keys(sentence)), markup=False)

    def warn(self, sentence: str) -> None:
        """Tell that something was refused or needs care."""
        timeout = max(10.0, len(sentence) / LETTERS_READ)
        said = shown(self.in_present_keys(sentence))
        # Textual reckons a line too few for each word that it has to break, a path say, and the last lines fall off.
        room = "\n" * sum(len(word) >= self.size.width - _BESIDE for word in said.split())
        self.notify(said + room, severity="warning", markup=False, timeout=timeout)

    def on_notify(self, event: Notify) -> None:
        """A message stands once, and as long as if it were new: a key that is held down fills no screen with it."""
        for same in [each for each in self._notifications if each.message == event.notification.message]:
            self._unnotify(same, refresh=False)

    def _unnotify(self, notification: "Notification", refresh: bool = True) -> None:
        """Textual calls this once a message has stood long enough; a rack without any would take every row."""
        super()._unnotify(notification, refresh=refresh)
        if not self._notifications:
            for screen in (screen for stack in self._screen_stacks.values() for screen in stack):
                screen.query("ToastRack").set(display=False)

    @property
    def damaged(self) -> int:
        """How many records of the register could not be read so far."""
        return len(self.register.damage.sentences)

    def _tell_damage(self) -> None:
        """Tell what could not be read, each once; how much it is stands on every screen from now on."""
        said = self.register.damage.sentences
        new = said[self._damage_told :]
        self._damage_told = len(said)
        for sentence in new[:MOST_TOLD]:
            self.warn(sentence)
        if len(new) > MOST_TOLD:
            self.warn(f"{len(new) - MOST_TOLD} more records are damaged; run `appreg verify`, which names them all.")
        screen = self.screen
        if isinstance(screen, CommandScreen):
            screen.show_damage(self.damaged)

    def open_screen(self, name: str, **values: object) -> "AwaitMount":
        """Open a screen by name over the present one; `values` go to its constructor."""
        return self.push_screen(make_screen(name, **values))

    def open_bench(self, *, visit: Uid, appliance: Uid | None = None) -> None:
        """Open the Bench on a visit, at one appliance or at the first not yet done."""
        self.open_screen("bench", visit=visit, appliance=appliance)

    def open_help(self, screen: "CommandScreen[Any]") -> None:
        """Open the help page for the field at hand and the screen's commands."""
        commands, field = screen.keyed_commands(), screen.field_help()
        waits = isinstance(screen, CommandModal)
        self.open_screen("help", title=screen.TITLE_IN_HELP, commands=commands, field=field, waits=waits)

    def export_list(self, screen: "ListScreen[Any]") -> None:
        """Ask for a file and write the list of a screen into it as it stands."""
        from appreg.ui.screens.asking.export_list import ask_and_export  # noqa: PLC0415 - only when asked for

        ask_and_export(screen)

    def keep_typed(self) -> tuple[str, ...]:
        """Let every open screen keep what is typed on it."""
        screens = [screen for stack in self._screen_stacks.values() for screen in stack]
        told = (screen.keep_typed() for screen in screens if isinstance(screen, CommandScreen))
        return tuple(sentence for sentence in told if sentence)

    def action_go(self, name: str) -> None:
        """Go to a standing screen itself; where a page over it holds something typed, to that page instead."""
        with self.batch_update():
            if self.current_mode != name:
                self.switch_mode(name)
            while len(self.screen_stack) > 1:
                if isinstance(self.screen, CommandScreen) and (typed := self.screen.keep_typed()):
                    self.warn(f"{typed} Add or clear it first.")
                    return
                self.pop_screen()

    def action_find(self, typed: str = "") -> None:
        """Open the scan box; the screen behind may take the item itself, otherwise its page opens."""
        from appreg.ui.screens.find.find_screen import FindScreen, UnknownTag  # noqa: PLC0415 - only when opened

        behind = self.screen
        if isinstance(behind, FindScreen):
            behind.put(typed)
            return

        def found(answer: "Uid | UnknownTag | None") -> None:
            if isinstance(answer, UnknownTag):
                offer_new(self, answer.tag, behind)
            elif answer is not None:
                self._go_to_item(answer, behind)

        self.push_screen(FindScreen(typed, place_for_new=place_for_new(behind)), found)

    def take_scan(self, text: str) -> None:
        """Go to the item on a scanned label, or put its tag where one is asked for; of a location tell what is there.

        What none answers to may be a new item's, or is put into the scan box.
        """
        from appreg.tasks.items.find_items import (  # noqa: PLC0415 - only when something is scanned
            item_named,
            location_on_label,
            tag_on_label,
        )

        item, tag = item_named(self.register, text), tag_on_label(self.register, text)
        asked = item.tag if item is not None else tag
        if asked is not None and isinstance(self.screen, CommandScreen) and self.screen.take_tag(asked):
            return
        place = location_on_label(self.register, text) if item is None and tag is None else None
        if place is not None and isinstance(self.screen, CommandScreen) and self.screen.take_location(place.uid):
            return
        if item is not None:
            self._go_to_item(item.uid, self.screen)
        elif tag is not None and place_for_new(self.screen):
            offer_new(self, tag, self.screen)
        else:
            self.action_find(text)

    def _go_to_item(self, item: Uid, behind: "Screen[Any]") -> None:
        if not (isinstance(behind, CommandScreen) and behind.take_found(item)):
            self.open_screen("item", appliance=item)

    def action_palette(self) -> None:
        """Open the list of every command; the chosen one acts on the screen it was opened from, or leads to its own."""
        from appreg.ui.elsewhere import go_and_do, offered_on  # noqa: PLC0415 - it looks through every screen

        behind = self.screen

        async def do(chosen: "OfferedCommand | None") -> None:
            if chosen is None:
                return
            if chosen.target is not None:
                await self.run_action(chosen.command.action, default_namespace=chosen.target)
            else:
                go_and_do(self, behind, chosen)

        self.push_screen(make_screen("palette", offered=offered_on(self, behind)), do)

    def action_documents(self) -> None:
        """Ask which document of all sites is written, and write it."""
        from appreg.tasks.documents.paper_kinds import Asked, Of  # noqa: PLC0415 - papers cost the first frame
        from appreg.ui.screens.asking.choose_document import choose_document  # noqa: PLC0415

        if isinstance(self.screen, CommandScreen):
            choose_document(self.screen, Of.ALL, Asked())

    def action_copies(self) -> None:
        """Open the list of kept copies."""
        self.open_screen("copies")

    def action_merge(self) -> None:
        """Ask for another copy, and show what it would bring in."""
        from appreg.ui.screens.merging.merge_work import merge_another  # noqa: PLC0415 - forms cost the first frame

        if isinstance(self.screen, CommandScreen):
            merge_another(self.screen)

    def action_settle_contests(self) -> None:
        """Open the list of what is to be settled."""
        self.open_screen("settle")

    def action_printed(self) -> None:
        """Open the list of what was printed."""
        self.open_screen("printed")

    def action_downloads(self) -> None:
        """Choose a table of the folder of downloads."""
        self.downloads.choose()

    def action_turn_theme(self) -> None:
        """Change between the dark and the light theme."""
        other = "dark" if self.settings.theme == "light" else "light"
        self.change_settings(replace(self.settings, theme=other))
