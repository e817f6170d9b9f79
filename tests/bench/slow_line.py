"""A line between a program and the person: every byte takes a while, and only so many pass a second, as over ssh from a phone."""

import heapq
import time
from collections import deque
from collections.abc import Callable
from typing import Final

from tests.terminal.quick_screen import QuickScreen
from tests.terminal_program import TerminalProgram

DELAY: Final = 0.15
"""Seconds that a byte takes, each way."""
RATE: Final = 20_000
"""Bytes that pass in a second on the way to the person."""
_STILL: Final = 0.3
"""Seconds without a byte after which the picture is the last."""


class SlowLine:
    """Relays keys to a program and what it draws to a screen, in one thread."""

    def __init__(self, program: TerminalProgram, *, columns: int, lines: int) -> None:
        """Stand between a program and a screen of its own."""
        self.screen = QuickScreen(columns, lines)
        self.passed = 0
        """Bytes that came to the screen."""
        self._program = program
        self._keys: list[tuple[float, bytes]] = []
        self._drawn: deque[tuple[float, bytes]] = deque()
        self._free = 0.0
        """When the line has passed on all that was drawn so far."""

    @property
    def picture(self) -> str:
        """The screen as lines of text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def worked(self) -> float:
        """Seconds of the processor that the program's first thread has had."""
        return self._program.worked()

    def press(self, keys: bytes) -> None:
        """Send keys; they arrive later."""
        heapq.heappush(self._keys, (time.perf_counter() + DELAY, keys))

    def rest(self, seconds: float) -> None:
        """Relay for a while."""
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            self._relay(end)

    def wait_for(self, seen: Callable[[str], bool], within: float = 60.0) -> float:
        """Seconds until the picture shows something and nothing more comes; raises TimeoutError."""
        began = last = time.perf_counter()
        while not (seen(self.picture) and time.perf_counter() - last > _STILL):
            if time.perf_counter() - began > within:
                raise TimeoutError(self.picture)
            if self._relay(time.perf_counter() + _STILL):
                last = time.perf_counter()
        return last - began

    def _relay(self, end: float) -> bool:
        """Pass on what is due, or wait for something to be; tell whether the screen got anything."""
        now = time.perf_counter()
        while self._keys and self._keys[0][0] <= now:
            self._program.write(heapq.heappop(self._keys)[1])
        if self._drawn and self._drawn[0][0] <= now:
            data = self._drawn.popleft()[1]
            self.screen.feed(data)
            self.passed += len(data)
            return True
        due = [at for at, _ in (*self._keys[:1], *list(self._drawn)[:1])]
        data = self._program.read(max(0.0, min([end, *due]) - now))
        if data:
            self._free = max(self._free, time.perf_counter()) + len(data) / RATE
            self._drawn.append((self._free + DELAY, data))
        return False
