"""The part of the app that works off keys in their order, each when all that the one before set going is done.

Textual reads all keys of a burst before the first has acted: a line is then added with what was typed after its
Enter, and what follows a key that opens a screen goes to the screen before.
"""

import asyncio
import time
from collections import deque
from typing import Final

from textual import events
from textual.widgets import Input

from appreg.clock import Clock, Instant, system_clock
from appreg.core.lean_dataclasses import dataclass
from appreg.ui.settling import settled
from appreg.ui.terminal_app import TerminalApp

_LINE_FEED: Final = "ctrl+j"


@dataclass(frozen=True, slots=True)
class Arrived:
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
        await super().on_event(event)
        self._flow = field
        if field is None:
            self.settle()

    def settle(self) -> None:
        """Let further keys wait until all that was set going is done."""
        self._flow = None
        if self._settling is None:
            self._settling = asyncio.create_task(settled(self))
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

    def _go_on(self, settling: asyncio.Task[None]) -> None:
        self._settling = None
        if self._waiting and not settling.cancelled():
            self.call_later(self._work_off)

    def _field_taking(self, event: events.Key | events.Paste) -> Input | None:
        """The field that takes this key as a character and does nothing else."""
        field = self.focused
        if isinstance(event, events.Key) and event.is_printable and isinstance(field, Input):
            return field if field.check_consume_key(event.key, event.character) else None
        return None
