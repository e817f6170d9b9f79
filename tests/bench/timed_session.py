"""A program on a terminal of its own, timed from outside: start to first words, key to the end of its frame."""

import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from tests.terminal_program import TerminalProgram

QUIET: Final = 0.06
"""Seconds without output after which a frame has ended; they are not counted."""


class TimedSession(TerminalProgram):
    """Runs a command on a pseudo-terminal of 120x40 and keeps no picture, which would cost time of its own."""

    def __init__(
        self, command: Sequence[str], *, environ: Mapping[str, str] | None = None, columns: int = 120, lines: int = 40
    ) -> None:
        self._started = time.perf_counter()
        self.shown = b""
        super().__init__(command, columns=columns, lines=lines, environ=environ or {})

    def wait_for(self, words: bytes, *, within: float = 60.0) -> float:
        """Seconds from the start until some words were written; raises TimeoutError."""
        end = time.perf_counter() + within
        while words not in self.shown:
            if not self._read(end - time.perf_counter()):
                raise TimeoutError(f"{words!r} not seen; the last output was {self.shown[-400:]!r}")
        return time.perf_counter() - self._started

    def settle(self, seconds: float = 0.5) -> None:
        """Read until nothing is written for a while."""
        while self._read(seconds):
            pass

    def press(self, key: bytes, *, quiet: float = QUIET) -> float:
        """Milliseconds from a key to the last byte of the frame it causes."""
        start = last = time.perf_counter()
        self.write(key)
        while self._read(quiet if last > start else 5.0):
            last = time.perf_counter()
        return (last - start) * 1000

    def press_until(self, key: bytes, words: bytes, *, within: float = 10.0) -> float:
        """Milliseconds from a key until some words are written."""
        self.shown = b""
        start = time.perf_counter()
        self.write(key)
        while words not in self.shown:
            if not self._read(start + within - time.perf_counter()):
                raise TimeoutError(f"{words!r} not seen after {key!r}; output {self.shown[-400:]!r}")
        return (time.perf_counter() - start) * 1000

    def resident_kilobytes(self) -> int:
        """What the program holds in memory, by the kernel's account."""
        status = Path(f"/proc/{self.pid}/status").read_text(encoding="ascii")
        return int(next(line.split()[1] for line in status.splitlines() if line.startswith("VmRSS")))

    def _read(self, seconds: float) -> bool:
        data = self.read(seconds)
        self.shown += data
        return bool(data)
