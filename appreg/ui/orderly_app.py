"""The part of the app that works off keys in their order, each when all that the one before set going is done.

Textual reads all keys of a burst before the first has acted: a line is then added with what was typed after its
Enter, and what follows a key that opens a screen goes to the screen before.
"""

import asyncio
import time
from collections import deque
from collections.abc import Callable, Iterator
from typing import Any, Final

from msgspec import Struct
from textual import events
from textual.app import App
from textual.message_pump import MessagePump
from textual.widgets import Input

from appreg.clock import Clock, Instant, system_clock
from appreg.ui.lists.virtual_rows import VirtualRows
from appreg.ui.shell.held_frames import FrameHold
from appreg.ui.shell.terminal_app import TerminalApp

QUIET_ROUNDS: Final = 3
"""Rounds in a row without a message: one handler may wake another that was asked just before."""
LONGEST: Final = 10.0
"""Seconds after which the next key is worked off all the same, so that no fault can lock the keyboard."""
_LOOK_AGAIN: Final = 0.05
"""Seconds after which a part that has not answered is looked at: it may have gone."""
_ROWS_FOUND: Final = 0.005


async def settled(
    app: App[Any], longest: float = LONGEST, *, rounds: int = QUIET_ROUNDS, first: Callable[[], None] | None = None
) -> None:
    """Return once everything between the keyboard and the screen on top is at rest; `first` is called when it seems so."""
    end = time.monotonic() + longest
    quiet = 0
    while quiet < rounds and time.monotonic() < end and not app._exit:  # noqa: SLF001 - no public name for it
        quiet = quiet + 1 if await _is_quiet(app, end) else 0
        if quiet == 1 and first is not None:
            first()


async def _is_quiet(app: App[Any], end: float) -> bool:
    """Ask every part a key passes through; tell whether none of them had anything to do."""
    quiet = True
    for part in list(_parts(app)):
        quiet = await _rested(app, part, end) and quiet
    if isinstance(app.focused, VirtualRows) and app.focused.is_finding:
        await asyncio.sleep(_ROWS_FOUND)
        return False
    return quiet


def _parts(app: App[Any]) -> Iterator[MessagePump]:
    """The field with the keyboard and what it stands in, up to the screen and the app."""
    field = app.focused
    if field is not None and field.is_attached:  # one that was just taken away answers no question
        yield from field.ancestors_with_self
    else:
        yield app.screen
        yield app


async def _rested(app: App[Any], part: MessagePump, end: float) -> bool:
    """Wait until a part has handled all its messages; tell whether there were none."""
    found_none = part.message_queue_size == 0
    while True:
        asked = _Asked(part)
        # As call_later() would ask it, which looks up anew for each question how many parameters the answer takes.
        if not part.post_message(events.Callback(callback=asked.answer)) or not await _answered(app, asked, end):
            return False
        if asked.left == 0:
            return found_none
        found_none = False


class _Asked:
    """A part that is asked to answer once it has come to the question."""

    def __init__(self, part: MessagePump) -> None:
        self.part = part
        self.reached = asyncio.get_running_loop().create_future()
        self.left = -1
        """Messages that waited behind the question."""

    def answer(self) -> None:
        """The part has come to it."""
        self.left = self.part.message_queue_size
        if not self.reached.done():
            self.reached.set_result(None)


async def _answered(app: App[Any], asked: _Asked, end: float) -> bool:
    """Wait for a part's answer; False where it has gone meanwhile, or gives none until the end."""
    while not asked.reached.done():
        # Costs no task of its own, as wait_for() would: some twenty questions stand between a key and its frame.
        await asyncio.wait((asked.reached,), timeout=_LOOK_AGAIN)
        if not asked.reached.done() and (
            time.monotonic() > end or not app.is_running or not (asked.part is app or asked.part.is_attached)
        ):
            return False
    return True


_LINE_FEED: Final = "ctrl+j"


class Arrived(Struct, frozen=True):
    """A key or a paste that waits for its turn."""

    event: events.Key | events.Paste
    at: Instant
    sifted: bool = False
    """It was told already that this is no part of a scan."""


class OrderlyApp(TerminalApp):
    """An app that hands on one key after another."""

    def __init__(self) -> None:
        super().__init__()
        self.clock: Clock = system_clock
        self._waiting: deque[Arrived] = deque()
        self._settling: asyncio.Task[None] | None = None
        self.hold = FrameHold()
        """What is drawn waits for what a key sets going."""
        self._resting: asyncio.Task[None] | None = None
        self._flow: Input | None = None
        """The field whose plain characters need not be waited for: it takes them in their order by itself."""

    def on_mount(self) -> None:
        """What is typed before the first screen stands waits for it."""
        self.settle()

    async def on_event(self, event: events.Event) -> None:
        """Let keys and pastes queue; everything else goes its way."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            if isinstance(event, events.Key) and event.key == _LINE_FEED:
                event = events.Key("enter", "\r")  # how a line ends in text that is not typed
            self._waiting.append(Arrived(event, self.clock()))
            await self._work_off()
        else:
            await super().on_event(event)

    @property
    def is_settling(self) -> bool:
        """Tell whether something that a key has set going is still to be done."""
        return self._settling is not None

    async def worked_off(self, longest: float) -> None:
        """Wait until no key waits for its turn, at most so many seconds."""
        end = time.monotonic() + longest
        await settled(self, longest)
        while (self._waiting or self.is_settling) and (left := end - time.monotonic()) > 0:
            await settled(self, left)

    async def sift(self, arrived: Arrived) -> None:
        """Decide what a key means; a subclass may hold it back."""
        await self.hand_out(arrived.event)

    async def hand_out(self, event: events.Key | events.Paste) -> None:
        """Give a key to whoever it is meant for, and wait for it before the next unless a field merely takes it in."""
        field = self._field_taking(event)
        self.hold.begin()
        self.key_came()
        await super().on_event(event)
        self._flow = field
        if field is None:
            self.settle()
        elif self._resting is None:
            self._resting = asyncio.create_task(settled(self, rounds=1))
            self._resting.add_done_callback(self._rested)

    def settle(self) -> None:
        """Let further keys wait until all that was set going is done."""
        self._flow = None
        if self._settling is None:
            self._settling = asyncio.create_task(settled(self, first=self._draw))
            self._settling.add_done_callback(self._go_on)

    def put_back(self, *arrived: Arrived) -> None:
        """Put keys before all that wait."""
        self._waiting.extendleft(reversed(arrived))

    async def _work_off(self) -> None:
        while self._waiting and self._settling is None:
            if self._flow is not None and self._field_taking(self._waiting[0].event) is not self._flow:
                self.settle()
                return
            arrived = self._waiting.popleft()
            if arrived.sifted:
                await self.hand_out(arrived.event)
            else:
                await self.sift(arrived)

    def _draw(self) -> None:
        self.hold.end(self)

    def _rested(self, _resting: asyncio.Task[None]) -> None:
        """A field has taken a character and all that follows from it is done."""
        self._resting = None
        self._draw()
        self.key_done()

    def _go_on(self, settling: asyncio.Task[None]) -> None:
        self._settling = None
        if self._waiting and not settling.cancelled():
            self.call_later(self._work_off)
        else:
            self.key_done()

    def _field_taking(self, event: events.Key | events.Paste) -> Input | None:
        """The field that takes this key as a character and does nothing else."""
        field = self.focused
        if isinstance(event, events.Key) and event.is_printable and isinstance(field, Input):
            return field if field.check_consume_key(event.key, event.character) else None
        return None
