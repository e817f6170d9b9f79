"""The program on a pseudo-terminal of its own, key by key: how long each took, and what the program holds."""

import os
import re
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from types import TracebackType
from typing import Final

from msgspec import Struct

from tests.terminal.quick_screen import QuickScreen
from tests.terminal_program import TerminalProgram

ROOT: Final = Path(__file__).parents[2]
PATIENCE: Final = 30.0
"""Seconds; a machine that does many things at once is slow."""
QUIET: Final = 0.04
"""Seconds without a byte after which what a key set going is done."""


class Taken(Struct, frozen=True, kw_only=True):
    """What one key took."""

    waited: float
    """Seconds until it was seen; what else the machine does is in it."""
    paused: float
    """Seconds from the key to the last byte of what it changed."""
    worked: float
    """Seconds of the processor that the program's thread of keys and screen took, the frame and what follows it among them."""
    seen: str
    """What it was known by."""


class Stop(Struct, frozen=True, kw_only=True):
    """A step of the program in which it took no key for a while."""

    ended: float
    """By the system's steady clock, seconds."""
    took: float
    """Seconds."""
    worked: float
    """Seconds of that in which it was at work, and did not wait for the disk or for its turn."""
    searched: float
    """Seconds of that in which garbage was searched for."""
    whose: str
    """The task that it went on with, or the function that was called."""


class SoakedProgram(TerminalProgram):
    """`appreg` on a register, with a picture of what it shows; once it was left, how long it stood still is known."""

    def __init__(self, register: Path, *, environ: Mapping[str, str], columns: int = 120, lines: int = 40) -> None:
        self.quick = QuickScreen(columns, lines)
        self._came_at = 0.0
        """When the last bytes came."""
        self._notes = tempfile.TemporaryFile()  # noqa: SIM115 - closed when the program is left
        os.set_inheritable(self._notes.fileno(), True)
        self.stops: list[Stop] = []
        """Each step in which it took no key for a while."""
        notes = str(self._notes.fileno())
        command = [sys.executable, "-m", "tests.soak.watched_program", notes, "--register", str(register)]
        # One seed for all: how things lie in memory is part of how long they take, and programs are held against each other.
        surroundings = {"LC_ALL": "C.UTF-8", "PYTHONPATH": str(ROOT), "PYTHONHASHSEED": "0", **environ}
        super().__init__(command, columns=columns, lines=lines, environ=surroundings)

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        super().__exit__(kind, error, trace)
        with self._notes:
            lines = Path(f"/proc/self/fd/{self._notes.fileno()}").read_text(encoding="ascii").splitlines()
        for line in lines:
            *times, whose = line.split(" ", 4)
            ended, took, worked, searched = map(float, times)
            self.stops.append(Stop(ended=ended, took=took, worked=worked, searched=searched, whose=whose))

    def press(self, keys: str, seen: str, *, other: str = "") -> Taken:
        """Send keys, and read until a pattern stands on the screen and all is still; raises AssertionError.

        With `other`, what stands there must be another text than that.
        """
        wanted = re.compile(seen, re.MULTILINE)
        self._read(0)
        began, worked = time.perf_counter(), self.worked()
        self.write(keys.encode())
        while (found := wanted.search(self.picture())) is None or found.group() == other:
            assert time.perf_counter() - began < PATIENCE, f"{seen!r} did not come; the screen shows:\n{self.picture()}"
            assert self._read(0.2) or self.is_running(), (
                f"it has ended with {self.code}; the screen shows:\n{self.picture()}"
            )
        waited = time.perf_counter() - began
        while self._read(QUIET):
            pass
        paused = max(self._came_at - began, 0.0)
        return Taken(waited=waited, paused=paused, worked=self.worked() - worked, seen=found.group())

    def rest(self, seconds: float) -> None:
        """Type nothing for a while: what other screens are made of is loaded then, and is no growth of a long day."""
        end = time.perf_counter() + seconds
        while (left := end - time.perf_counter()) > 0:
            self._read(left)

    def picture(self) -> str:
        """The screen as lines of text."""
        return "\n".join(line.rstrip() for line in self.quick.display)

    def held(self) -> float:
        """Megabytes that it holds in memory."""
        pages = int(Path(f"/proc/{self.pid}/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    def _read(self, patience: float) -> bool:
        data = self.read(patience)
        self._came_at = time.perf_counter() if data else self._came_at
        self.quick.feed(data)
        return bool(data)
