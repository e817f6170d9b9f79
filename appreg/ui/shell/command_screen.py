"""The base of every screen: declared commands, the place line, the key line, and the register at hand."""

import asyncio
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar, Generic, Protocol, TypeVar, cast

from textual import events
from textual.app import ComposeResult
from textual.reactive import Reactive
from textual.screen import ModalScreen, Screen
from textual.widget import Widget

from appreg.core.values.uids import Uid
from appreg.errors import AppregError, RegisterUnusable
from appreg.ui.shell.commands import Command, at_home, bindings_of, with_keys
from appreg.ui.shell.field_help import ExplainsField, FieldHelp
from appreg.ui.shell.held_frames import HeldFrames
from appreg.ui.shell.key_line import KeyLine
from appreg.ui.shell.place_line import PlaceLine
from appreg.ui.shell.steady_pump import SteadyPump
from appreg.ui.shell.too_small import TooSmall

if TYPE_CHECKING:
    from appreg.register.opening.register_file import Register
    from appreg.ui.app import AppregApp

Returned = TypeVar("Returned")
Given = TypeVar("Given")

BACK, HELP = at_home(
    "screen",
    (
        Command(action="back", key="escape", label="back", help="Leave this screen for the one before it."),
        Command(action="help", key="f1", label="help", help="Explain the field at hand and every key of this screen."),
    ),
)


class TakesLines(Protocol):
    """What takes the lines that an instrument sends."""

    @property
    def beginnings(self) -> tuple[str, ...]:
        """How lines begin that come as keys."""

    async def take(self, texts: Sequence[str]) -> None:
        """Take lines, or tell why not."""


class CommandScreen(SteadyPump, HeldFrames, Screen[Returned], Generic[Returned]):
    """A screen whose keys, key line, palette and help all come from DECLARED.

    A subclass sets DECLARED, yields its widgets from compose_body, says where it is with
    show_place, and reads the register in load, which also runs each time the screen comes back.
    """

    DECLARED: ClassVar[tuple[Command, ...]] = ()
    """The screen's own commands (COMMANDS belongs to Textual and means something else)."""
    TITLE_IN_HELP: ClassVar[str] = ""
    """What the help page calls this screen."""
    HOLDS: ClassVar[bool] = False
    """It must be answered before anything else: nothing is scanned or found over it."""
    LEAST: ClassVar[tuple[int, int]] = (40, 10)
    """Columns and lines without which nothing on it can be used."""
    DEFAULT_CSS = """
    CommandScreen { layers: default too-small; }
    """
    DATED: ClassVar[bool] = False
    """What it shows changes by itself: it is read again when the day turns, or results are settled anew."""
    FOLLOWS: ClassVar[bool] = False
    """It shows records and holds nothing typed: it is read again when another screen or program has saved."""
    focused: Reactive[Widget | None] = Reactive(None, repaint=False)
    """Textual draws the whole screen whenever the keys go to another widget; both widgets draw themselves anew."""
    _keyed: tuple[Mapping[str, str], tuple[Command, ...]] | None = None
    """The keys chosen by hand, and the commands with them."""
    _keys: tuple[tuple[Command, ...], frozenset[str]] | None = None
    """Those commands, and their keys."""
    instrument: TakesLines | None = None
    """What takes the lines of an instrument over this screen; None: nothing does."""
    _standing = False
    """It was shown and nothing lies over it."""

    def __init_subclass__(cls, **options: bool) -> None:
        """Turn the declared commands into key bindings before Textual merges them."""
        if "COMMANDS" in cls.__dict__:
            raise TypeError(f"{cls.__name__}: declare commands in DECLARED")
        if "DECLARED" in cls.__dict__:
            cls.DECLARED = at_home(cls.__module__.rpartition(".")[2].removesuffix("_screen"), cls.DECLARED)
        cls.BINDINGS = [*bindings_of(cls.all_commands())]
        super().__init_subclass__(**options)

    @classmethod
    def all_commands(cls) -> tuple[Command, ...]:
        """Give the screen's own commands, then back and help, unless it declares those keys itself."""
        taken = {key for command in cls.DECLARED for key in command.keys}
        return (*cls.DECLARED, *(base for base in (BACK, HELP) if not taken & set(base.keys)))

    @property
    def shell(self) -> "AppregApp":
        """The app, with the register, today and who is working."""
        return cast("AppregApp", self.app)

    def compose(self) -> ComposeResult:
        """Place line, body, key line."""
        yield PlaceLine()
        yield from self.compose_body()
        yield KeyLine()
        yield TooSmall()

    def compose_body(self) -> Iterable[Widget]:
        """Give the widgets between the two lines."""
        return ()

    def load(self) -> None:
        """Read the register and show it; runs when the screen opens and each time it comes back."""

    def day_turned(self) -> None:
        """Read again what has changed by itself; a screen under another one does when it comes back."""
        if self.DATED and self._standing:
            self.load()

    def others_saved(self) -> None:
        """Read again what somebody else may have changed; a screen under another one does when it comes back."""
        if self.FOLLOWS and self._standing:
            self._load_or_tell()

    def show_place(self, left: str, right: str = "") -> None:
        """Say where the person is: 'Bench · Harbour Row 14', and 'item 7 of 12' at the right."""
        line = self.query_one(PlaceLine)
        line.left, line.right = left, right

    def show_damage(self, count: int) -> None:
        """Say beside the place how many records could not be read."""
        self.query_one(PlaceLine).damaged = count

    def _load_or_tell(self) -> None:
        """A screen that cannot be filled stays open all the same: it leads back, and to every other one."""
        try:
            self.load()
        except Exception as fault:  # noqa: BLE001 - told, and reported where it was not foreseen
            self.shell.tell_fault(fault)

    def attempt(self, call: Callable[[], Given]) -> Given | None:
        """Call a task; a refusal is told in its own sentence and gives None."""
        self.shell.look_at_day()
        try:
            return call()
        except AppregError as refusal:
            self.shell.warn(str(refusal))
            return None

    async def read_beside(self, read: "Callable[[Register], Given]") -> Given | None:
        """What a reader of the register gives; where that fails it is told, and gives None.

        In a thread: where a site has a thousand items, the program takes keys all the same.
        """

        def reading() -> Given:
            with self.shell.register.reopen() as own:
                return read(own)

        try:
            try:
                return await asyncio.to_thread(reading)
            except RegisterUnusable:  # it was moved, which is told already: what is open can still be read
                return read(self.shell.register)
        except Exception as fault:  # noqa: BLE001 - told, and reported where it was not foreseen
            self.shell.tell_fault(fault)
            return None

    def refresh_keys(self) -> None:
        """Draw the key line anew after a change in what can be done."""
        self.query_one(KeyLine).commands = tuple(command for command in self.open_commands() if command.in_footer)

    def keyed_commands(self) -> tuple[Command, ...]:
        """Every command with the key that does it now; the same value until a person chooses other keys."""
        changed = self.shell.settings.keys
        if self._keyed is None or self._keyed[0] is not changed:
            self._keyed = changed, with_keys(self.all_commands(), changed)
        return self._keyed[1]

    def command_keys(self) -> frozenset[str]:
        """The keys that are commands now, by Textual's names; the same value until a person chooses other keys."""
        commands = self.keyed_commands()
        if self._keys is None or self._keys[0] is not commands:
            self._keys = commands, frozenset(key for command in commands for key in command.keys)
        return self._keys[1]

    def open_commands(self) -> list[Command]:
        """The commands that can be done just now."""
        return [command for command in self.keyed_commands() if self.check_action(_name(command.action), ()) is True]

    def has_something_to_clear(self) -> bool:
        """Tell whether 'back' has something to clear before it leaves, also at the bottom."""
        return False

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Close 'back' on a screen that stands at the bottom; subclasses add their own and ask here last."""
        if action == "back":
            return len(self.app.screen_stack) > 1 or self.has_something_to_clear()
        return super().check_action(action, parameters)

    def field_help(self) -> tuple[str, FieldHelp] | None:
        """What the field at hand is called, and what help says of it; None where no field has the keyboard."""
        parts = self.focused.ancestors_with_self if self.focused is not None else []
        return next((part.field_at_hand() for part in parts if isinstance(part, ExplainsField)), None)

    def keep_typed(self) -> str:
        """Keep what is typed, for the program is about to end; returns a sentence where there is no place for it."""
        return ""

    def take_found(self, item: Uid) -> bool:
        """Take the item that was scanned or found over this screen; False: its page opens instead."""
        del item
        return False

    def take_tag(self, tag: str) -> bool:
        """Take the tag that was scanned where the field with the keyboard asks for one; False: it leads to its item."""
        del tag
        return False

    def take_location(self, location: Uid) -> bool:
        """Go on at the location whose label was scanned; False: the scan box tells what is there."""
        del location
        return False

    @property
    def line_beginnings(self) -> tuple[str, ...]:
        """How lines of an instrument begin that are taken here where they come as keys; none: no such line is."""
        return self.instrument.beginnings if self.instrument is not None else ()

    def take_lines(self, lines: Sequence[str]) -> None:
        """Take lines that an instrument typed or pasted."""
        if self.instrument is not None:
            self.call_next(self.instrument.take, lines)

    def place_for_new(self) -> str:
        """Where an item with a tag that nobody knows would be added from here; empty: nowhere."""
        return ""

    def take_new(self, tag: str) -> None:
        """Add an item with a tag that was scanned or typed and that no item has."""
        del tag

    def on_mount(self) -> None:
        """Fill the key line once the widgets stand."""
        self.hold = self.shell.hold
        self.refresh_keys()

    def on_resize(self, event: events.Resize) -> None:
        """Say so where the terminal has no room for it, and go on where it has room again."""
        self.query_one(TooSmall).fit(self.LEAST, *event.size)

    @property
    def is_too_small(self) -> bool:
        """Tell whether nothing of it is to be seen for want of room: keys must do nothing unseen."""
        return any(cover.display for cover in self.query(TooSmall))

    def on_screen_resume(self, _event: events.ScreenResume) -> None:
        """Read what another screen may have changed, the keys among it."""
        if self._standing:  # a mode shown for the first time is told twice
            return
        self._standing = True
        self.refresh_keys()
        self.shell.look_at_file()
        self.show_damage(self.shell.damaged)
        self._load_or_tell()

    def on_screen_suspend(self, _event: events.ScreenSuspend) -> None:
        """Read again when it comes back."""
        self._standing = False

    def action_back(self) -> None:
        """Leave for the screen before, where there is one."""
        if len(self.app.screen_stack) > 1:
            self.dismiss(None)

    def action_help(self) -> None:
        """Open the help page of this screen."""
        self.shell.open_help(self)


class CommandModal(CommandScreen[Returned], ModalScreen[Returned]):
    """A screen laid over another; it returns one typed value, or None when left."""

    def on_key(self, event: events.Key) -> None:
        """Say of a key that leads elsewhere why nothing happens: the toolkit passes it over while this lies on top."""
        waiting = next((each for each in self.shell.keyed_commands() if event.key in each.keys), None)
        own = {key for command in self.keyed_commands() for key in command.keys}
        if waiting is not None and not waiting.priority and event.key not in own:
            self.shell.say(f"“{waiting.label}” waits until this is answered or left.")


def _name(action: str) -> str:
    return action.partition("(")[0]
