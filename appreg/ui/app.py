"""The app: the register at hand, today, who is working, and the way from screen to screen."""

from datetime import date
from typing import TYPE_CHECKING, Any, ClassVar, Final

from textual.app import App
from textual.binding import BindingType

from appreg.clock import Clock, system_clock
from appreg.core.text import shown
from appreg.core.uids import Uid
from appreg.ui.command_screen import CommandScreen
from appreg.ui.commands import Command, bindings_of
from appreg.ui.places import make_screen, standing_screens
from appreg.ui.themes import DARK, LIGHT, THEMES

if TYPE_CHECKING:
    from textual.screen import Screen
    from textual.widget import AwaitMount

    from appreg.register.register_file import Register

APP_COMMANDS: Final = (
    Command(
        action="palette", key="ctrl+p", label="commands", help="Find any command by a few letters.", in_footer=False
    ),
    Command(action="go('sites')", key="f2", label="Sites", help="All sites with what is due there.", in_footer=False),
    Command(action="go('due')", key="f3", label="Due", help="What is due, across all sites.", in_footer=False),
    Command(
        action="go('label_tray')", key="f4", label="Label tray", help="Labels waiting to be printed.", in_footer=False
    ),
    Command(
        action="go('rule_book')",
        key="f5",
        label="Rule book",
        help="Every value in use, with its source and basis.",
        in_footer=False,
    ),
    Command(
        action="go('items')", key="f8", label="Items", help="Every item of every site; type to find.", in_footer=False
    ),
    Command(
        action="find",
        key="f9",
        label="find",
        help="Scan a label, or type a tag or words, and go to that item.",
        in_footer=False,
    ),
    Command(action="turn_theme", key="", label="light or dark", help="Change between light and dark.", in_footer=False),
    Command(action="quit", key="ctrl+q", label="quit", help="Close appreg.", in_footer=False, priority=True),
)


class AppregApp(App[None]):
    """The terminal interface over one register."""

    CSS_PATH = "app.tcss"
    TITLE = "appreg"
    ENABLE_COMMAND_PALETTE = False
    MODES = standing_screens()
    DEFAULT_MODE = "sites"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of(APP_COMMANDS)]

    def __init__(self, register: "Register", *, today: date, who: str, clock: Clock = system_clock) -> None:
        """Open on a register; `today` decides what is due, `who` is journalled with every change."""
        super().__init__()
        self.register = register
        self.today = today
        self.who = who
        self.clock = clock
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = DARK

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Give the tokens, also where a theme that is not ours is in use."""
        return dict(THEMES[0].variables)

    def say(self, sentence: str) -> None:
        """Tell something in passing; the sentence may hold anything that a person has typed."""
        self.notify(shown(sentence), markup=False)

    def warn(self, sentence: str) -> None:
        """Tell that something was refused or needs care."""
        self.notify(shown(sentence), severity="warning", markup=False, timeout=10)

    def open_screen(self, name: str, **values: object) -> "AwaitMount":
        """Open a screen by name over the present one; `values` go to its constructor."""
        return self.push_screen(make_screen(name, **values))

    def open_bench(self, *, visit: Uid, appliance: Uid | None = None) -> None:
        """Open the Bench on a visit, at one appliance or at the first not yet done."""
        self.open_screen("bench", visit=visit, appliance=appliance)

    def open_help(self, screen: "CommandScreen[Any]") -> None:
        """Open the help page for a screen's commands."""
        self.open_screen("help", title=screen.TITLE_IN_HELP, commands=screen.all_commands())

    def action_go(self, name: str) -> None:
        """Change to a standing screen; from inside it, go back to where it starts."""
        if self.current_mode != name:
            self.switch_mode(name)
            return
        while len(self.screen_stack) > 1:
            self.pop_screen()

    def action_find(self) -> None:
        """Open the scan box; the screen behind may take the item itself, otherwise its page opens."""
        behind = self.screen

        def found(item: Uid | None) -> None:
            if item is None or (isinstance(behind, CommandScreen) and behind.take_found(item)):
                return
            self.open_screen("item", appliance=item)

        self.push_screen(make_screen("find"), found)

    def action_palette(self) -> None:
        """Open the list of commands; the chosen one acts on the screen it was opened from."""
        from appreg.ui.screens.palette.palette_screen import OfferedCommand  # noqa: PLC0415 - only when opened

        behind = self.screen
        offered = [OfferedCommand(command, behind) for command in commands_open_on(behind)]
        offered += [OfferedCommand(command, self) for command in APP_COMMANDS if command.action != "palette"]

        async def do(chosen: OfferedCommand | None) -> None:
            if chosen is not None:
                await self.run_action(chosen.command.action, default_namespace=chosen.target)

        self.push_screen(make_screen("palette", offered=offered), do)

    def action_turn_theme(self) -> None:
        """Change between the dark and the light theme."""
        self.theme = LIGHT if self.theme == DARK else DARK


def commands_open_on(screen: "Screen[Any]") -> list[Command]:
    """The declared commands that can be done on a screen just now."""
    return screen.open_commands() if isinstance(screen, CommandScreen) else []
