"""The program on a real pseudo-terminal: keys go in, bytes come out, and a terminal emulator keeps the picture."""

import os
import sys
import tempfile
import time
import unicodedata
from collections.abc import Callable, Mapping
from pathlib import Path
from types import TracebackType
from typing import Any

import pyte
from wcwidth import wcwidth

from appreg.register.engine.places import Place
from tests.doubled_program import ALIKE
from tests.terminal_program import TerminalProgram

KEYS: Mapping[str, str] = {
    "enter": "\r",
    "escape": "\x1b",
    "tab": "\t",
    "space": " ",
    "up": "\x1b[A",
    "down": "\x1b[B",
    "right": "\x1b[C",
    "left": "\x1b[D",
    "pagedown": "\x1b[6~",
    "pageup": "\x1b[5~",
    "home": "\x1b[H",
    "end": "\x1b[F",
    "f1": "\x1bOP",
    "f2": "\x1bOQ",
    "f3": "\x1bOR",
    "f4": "\x1bOS",
    "f5": "\x1b[15~",
    "f6": "\x1b[17~",
    "f7": "\x1b[18~",
    "f8": "\x1b[19~",
    "f9": "\x1b[20~",
    "f12": "\x1b[24~",
    "ctrl+p": "\x10",
    "ctrl+q": "\x11",
    "ctrl+g": "\x07",
    "ctrl+l": "\x0c",
    "ctrl+n": "\x0e",
    "insert": "\x1b[2~",
    "ctrl+u": "\x15",
}


ROOT = Path(__file__).parents[1]
FRAME_BEGINS = b"\x1b[?2026h"
FRAME_ENDS = b"\x1b[?2026l"


class JoiningScreen(pyte.Screen):
    """pyte leaves out the rest of a text after a joiner; terminals draw the joined letters side by side or as one."""

    def draw(self, data: str) -> None:
        """Draw what has a place of its own or stands above or below another character."""
        drawn = data if data.isascii() else "".join(c for c in data if unicodedata.combining(c) or wcwidth(c) > 0)
        super().draw(drawn)


class ByteScreen(JoiningScreen):
    """A screen that takes bytes, and wraps no line, as the program asks of a terminal."""

    def __init__(self, columns: int, lines: int) -> None:
        super().__init__(columns, lines)
        self.reset_mode(pyte.modes.DECAWM >> 5, private=True)
        self._stream: Any = pyte.ByteStream(self)

    def feed(self, data: bytes) -> None:
        """Take what was written."""
        self._stream.feed(data)


class TerminalSession(TerminalProgram):
    """`appreg` running on a pseudo-terminal of a given size, where every frame is as if each cell were written again."""

    def __init__(
        self, register: Place, *, columns: int = 120, lines: int = 40, environ: Mapping[str, str] = {}
    ) -> None:
        self.raw = bytearray()
        self.screen: Any = JoiningScreen(columns, lines)
        self._stream: Any = pyte.ByteStream(self.screen)
        self._notes = tempfile.TemporaryFile()  # noqa: SIM115 - closed when the session is left
        os.set_inheritable(self._notes.fileno(), True)
        notes = str(self._notes.fileno())
        command = [sys.executable, "-m", "tests.doubled_program", notes, "--register", str(register)]
        surroundings = {"LC_ALL": "C.UTF-8", "PYTHONPATH": str(ROOT), **environ}
        super().__init__(command, columns=columns, lines=lines, environ=surroundings)

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        super().__exit__(kind, error, trace)
        with self._notes:
            noted = os.pread(self._notes.fileno(), 1 << 16, 0).decode()
            assert kind is not None or not noted or noted.endswith(ALIKE), noted

    def press(self, *keys: str) -> None:
        """Send keys by name; anything that is no name is typed as it stands."""
        for key in keys:
            self.write(KEYS.get(key, key).encode())

    def settle(self, quiet: float = 0.15, longest: float = 10.0) -> None:
        """Read until nothing has come for a while."""
        end = time.monotonic() + longest
        while time.monotonic() < end and self._read(quiet):
            pass

    def wait_for(self, seen: str | Callable[[str], bool], longest: float = 20.0) -> str:
        """Read until a text stands on the screen; returns the picture, or fails with it."""
        end = time.monotonic() + longest
        picture = ""
        while True:
            if self._is_whole():
                picture = self.picture()
                if seen in picture if isinstance(seen, str) else seen(picture):
                    return picture
            if time.monotonic() > end or not (self._read(0.2) or self.is_running()):
                raise AssertionError(f"{seen!r} did not come; the screen shows:\n{picture}")

    def _is_whole(self) -> bool:
        """Tell whether no frame is half drawn."""
        return self.raw.rfind(FRAME_ENDS) >= self.raw.rfind(FRAME_BEGINS)

    def resize(self, columns: int, lines: int) -> None:
        """Give the terminal another size; what stood on it is cut."""
        super().resize(columns, lines)
        if hasattr(self, "screen"):
            self.screen.resize(lines, columns)

    def overwrite(self, text: str) -> None:
        """Let another program write on the same terminal."""
        self._stream.feed(text.encode())

    def wait_until_stopped(self) -> None:
        """Read until a signal has stopped the program: one that writes waits for who reads, and stops afterwards."""
        while not self.has_stopped():
            self._read(0.05)

    def ended(self, longest: float = 20.0) -> int:
        """Read until the program has ended; returns its exit code."""
        end = time.monotonic() + longest
        while self.is_running():
            assert time.monotonic() < end, f"it goes on; the screen shows:\n{self.picture()}"
            self._read(0.1)
        while self._read(0):
            pass
        assert self._code is not None
        return self._code

    def picture(self) -> str:
        """The screen as lines of text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def _read(self, patience: float) -> bool:
        data = self.read(patience)
        self.raw += data
        if data:
            self._stream.feed(data)
        return bool(data)
