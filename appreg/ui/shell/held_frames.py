"""One frame a key: what a key sets going is drawn once all of it is done, not in every state between.

Textual draws as soon as a screen is idle, which it is several times while one key is worked off.
"""

import time
from typing import Any, Final

from textual.app import App
from textual.message_pump import MessagePump

LONGEST: Final = 0.1
"""Seconds after which it is drawn all the same, so that long work is seen to go on."""


class FrameHold:
    """Tells whether frames wait for what a key has set going."""

    def __init__(self) -> None:
        """Hold nothing."""
        self._until = 0.0

    def begin(self) -> None:
        """A key comes; one that comes while frames wait lets them wait no longer."""
        now = time.monotonic()
        if self._until <= now:
            self._until = now + LONGEST

    def end(self, app: App[Any]) -> None:
        """What it set going is done: draw what waits."""
        self._until = 0.0
        if app.screen_stack and isinstance(app.screen, HeldFrames):
            app.screen.draw_waiting()

    @property
    def waits(self) -> bool:
        """Frames wait."""
        return time.monotonic() < self._until


class HeldFrames(MessagePump):
    """Stands before Textual's screen: its frames wait where the app says so."""

    hold: FrameHold | None = None
    """Of the app; None: every frame is drawn at once."""
    _frame_waits = False

    def _on_timer_update(self) -> None:
        """Textual calls this to draw; its timer goes on as long as something is to be drawn."""
        if self.hold is not None and self.hold.waits:
            self._frame_waits = True
            return
        self._frame_waits = False
        super()._on_timer_update()  # type: ignore[misc] # of the screen it stands before

    def draw_waiting(self) -> None:
        """Draw what had to wait, where anything had."""
        if self._frame_waits:
            self.call_next(self._on_timer_update)
