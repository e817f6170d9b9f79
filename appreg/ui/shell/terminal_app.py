"""The part of the app that answers to the terminal: told to end, it keeps what was typed and lets go in order."""

import asyncio
import os
import signal
import sys
from collections.abc import Callable
from functools import partial
from typing import Final

from textual import events, on
from textual.driver import Driver

from appreg.ui.shell.idle_collecting import LOOKS_EVERY, IdleCollecting
from appreg.ui.shell.idle_loading import IdleLoading
from appreg.ui.shell.steady_app import SteadyApp
from appreg.ui.shell.terminal_told import BytesReplaced, ToldToEnd

SIGNAL_CODE: Final = 128
"""An exit code is this and the number of the signal (POSIX shells tell it so)."""
_LAST_KEYS: Final = 1.0
"""Seconds for the keys that came before the end."""
_LAST_READ: Final = 0.1
"""Seconds until they are surely read."""
THREAD_TURN: Final = 0.0005
"""Seconds that a thread at work lets another wait. After each call into SQLite the screen's thread waits for that, some thirty
times in a save; with Python's own 0.005 a save beside a thread that reads would stand still for a tenth of a second.
"""


class TerminalApp(SteadyApp):
    """An app that ends, stops and goes on as the terminal and its signals say."""

    def __init__(self) -> None:
        super().__init__(driver_class=_driver_class())
        self.ended_by: signal.Signals | None = None
        """The signal that ended it."""
        self.terminal_gone = False
        """There is no terminal any more: nothing may be written to it."""
        self.unkept: tuple[str, ...] = ()
        """Once it has ended by a signal: what was typed and has no place to be kept, in a sentence each."""
        self._ending: asyncio.Task[None] | None = None
        self._collecting: IdleCollecting | None = None
        self._turn_before = sys.getswitchinterval()
        self._waits_for_frame: list[Callable[[], object]] | None = []
        """What begins once the first frame is out; None: it is."""

    def on_mount(self) -> None:
        """Import other screens while nobody types, and search for garbage only where no key waits for its frame."""
        if not self.is_headless:
            self._collecting = IdleCollecting()
            loading = IdleLoading(partial(self.run_worker, thread=True, group="screens to come"))
            self.set_interval(LOOKS_EVERY, partial(self._while_nobody_types, self._collecting, loading))

    def on_ready(self) -> None:
        """Begin what waits for the first frame."""
        self.call_after_refresh(self._first_frame_is_out)

    def _first_frame_is_out(self) -> None:
        waiting, self._waits_for_frame = self._waits_for_frame or (), None
        for begin in waiting:
            begin()

    def begin_beside(self, begin: Callable[[], object]) -> None:
        """Begin to read something in a thread; the first frame goes before, from which each thread takes some of its time."""
        if self._waits_for_frame is None:
            begin()
        else:
            self._waits_for_frame.append(begin)

    @staticmethod
    def _while_nobody_types(collecting: IdleCollecting, loading: IdleLoading) -> None:
        if loading.is_done:
            collecting.look()
        elif collecting.nobody_types:
            loading.load_next()

    def on_unmount(self) -> None:
        """Leave that to Python again."""
        if self._collecting is not None:
            self._collecting.end()
            sys.setswitchinterval(self._turn_before)

    def key_came(self) -> None:
        """Note that somebody types; from then on threads take short turns, which would cost the first frame some of its time."""
        if self._collecting is not None:
            sys.setswitchinterval(THREAD_TURN)
            self._collecting.key_came()

    def key_done(self) -> None:
        """Note that nothing is left to be done of what a key set going."""
        if self._collecting is not None:
            self._collecting.key_done()

    def keep_typed(self) -> tuple[str, ...]:
        """Keep what is typed and not yet kept; returns a sentence for each thing that has no place."""
        return ()

    async def worked_off(self, longest: float) -> None:
        """Wait until no key waits for its turn, at most so many seconds."""

    def on_resize(self, event: events.Resize) -> None:
        """Let our own driver know before anything is drawn for the new size."""
        resized = getattr(self._driver, "resized", None)
        if resized is not None:
            resized(event.size)

    def _check_resize(self) -> None:
        """Textual calls this when it is idle; a screen that has the size told already would draw nothing for it.

        The size is told again where a stopped program goes on.
        """
        told = self._resize_event
        super()._check_resize()
        if told is not None and self.screen_stack and self.screen.size == told.size:
            self._draw_all()

    def action_draw_anew(self) -> None:
        """Put right what another program wrote over the terminal."""
        wipe = getattr(self._driver, "wipe", None)
        if wipe is not None:
            wipe()
        self._draw_all()

    @on(ToldToEnd)
    def _told_to_end(self, message: ToldToEnd) -> None:
        self.terminal_gone = self.terminal_gone or message.terminal_gone or message.told_by is signal.SIGHUP
        if self._ending is None:
            self.ended_by = message.told_by
            self._ending = asyncio.create_task(self._end())

    async def _end(self) -> None:
        await asyncio.sleep(_LAST_READ)
        await self.worked_off(_LAST_KEYS)
        self.call_later(self._end_now)

    def _end_now(self) -> None:
        self.unkept = self.keep_typed()
        self.exit(return_code=SIGNAL_CODE + (self.ended_by or 0))

    @on(BytesReplaced)
    def _tell_of_bytes(self) -> None:
        self.warn(
            "The keyboard sent bytes that are no text in UTF-8: a question mark in a lozenge stands for each. Set the terminal to UTF-8."
        )

    def _draw_all(self) -> None:
        self.refresh(layout=True)


def _driver_class() -> type[Driver] | None:
    """Our own driver where terminals are as on Unix; elsewhere, or where one is named, Textual's."""
    if sys.platform == "win32" or os.environ.get("TEXTUAL_DRIVER"):
        return None
    from appreg.ui.shell.terminal_driver import TerminalDriver  # noqa: PLC0415 - it cannot be loaded elsewhere

    return TerminalDriver
