"""One frame a key: what a key sets going is drawn once all of it is done, not in every state between.

Textual draws as soon as a screen is idle, which it is several times while one key is worked off.
"""

import asyncio
import time
from typing import Any, Final

from textual.app import App
from textual.geometry import Size
from textual.message_pump import MessagePump
from textual.timer import Timer
from textual.widget import Widget

LONGEST: Final = 0.25
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
    """Stands before Textual's screen: its frames wait where the app says so, and are no part of the step that lays it out."""

    hold: FrameHold | None = None
    """Of the app; None: every frame is drawn at once."""
    _frame_waits = False
    _cells_wait = False
    """What was laid out anew is still to be drawn."""
    _lays_out = False
    _drawn_soon = False
    """That is the next step."""
    _update_timer: Timer
    _dirty_widgets: set[Widget]

    def _on_timer_update(self) -> None:
        """Textual calls this to draw; its timer goes on as long as something is to be drawn."""
        if self.hold is not None and self.hold.waits:
            self._frame_waits = True
            return
        self._frame_waits = False
        super()._on_timer_update()  # type: ignore[misc] # of the screen it stands before
        if self._cells_wait and not self._drawn_soon:
            self._draw_laid_out()

    def _refresh_layout(self, size: Size | None = None, scroll: bool = False) -> None:
        """Textual calls this to lay out and draw; it is drawn in a step of its own, so that a key is taken between both."""
        self._lays_out = True
        try:
            super()._refresh_layout(size, scroll)  # type: ignore[misc]
        finally:
            self._lays_out = False

    def _compositor_refresh(self) -> None:
        """Textual calls this to draw at once."""
        waits = self.hold is not None and self.hold.waits
        if self._lays_out and not (waits or self._drawn_soon):
            self._drawn_soon = True
            asyncio.get_running_loop().call_soon(self._draw_soon)
        self._cells_wait = waits or self._drawn_soon
        if waits:
            self._frame_waits = True
            self._update_timer.resume()
        elif not self._drawn_soon:
            super()._compositor_refresh()  # type: ignore[misc]

    def _draw_soon(self) -> None:
        self._drawn_soon = False
        if self._cells_wait:
            self._draw_laid_out()

    def _draw_laid_out(self) -> None:
        if self.is_attached:
            # What has changed since it was laid out may not be part of the layout yet: that waits for the timer's next turn.
            changed = self._dirty_widgets.copy()
            self._compositor_refresh()
            self._dirty_widgets |= changed

    def draw_waiting(self) -> None:
        """Draw what had to wait, where anything had."""
        if self._frame_waits:
            self.call_next(self._on_timer_update)
