"""The program on a real pseudo-terminal: keys go in, bytes come out, and a terminal emulator keeps the picture."""

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
import time
import unicodedata
from collections.abc import Callable, Mapping
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import pyte
from wcwidth import wcwidth

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
    "ctrl+p": "\x10",
    "ctrl+q": "\x11",
    "ctrl+g": "\x07",
    "ctrl+l": "\x0c",
    "ctrl+n": "\x0e",
    "ctrl+u": "\x15",
}


FRAME_BEGINS = b"\x1b[?2026h"
FRAME_ENDS = b"\x1b[?2026l"
ASKS_ABOUT_FRAMES = b"\x1b[?2026$p"
TELLS_FRAMES = "\x1b[?2026;2$y"
"""How a terminal says, when it is asked, that it draws what stands between these two at once."""


_OTHER_SIZE = frozenset({"COLUMNS", "LINES"})
"""The size of the terminal that the tests themselves are run from; a program would believe them."""


class JoiningScreen(pyte.Screen):
    """pyte leaves out the rest of a text after a joiner; terminals draw the joined letters side by side or as one."""

    def draw(self, data: str) -> None:
        """Draw what has a place of its own or stands above or below another character."""
        drawn = data if data.isascii() else "".join(c for c in data if unicodedata.combining(c) or wcwidth(c) > 0)
        super().draw(drawn)


class TerminalSession:
    """`appreg` running on a pseudo-terminal of a given size."""

    def __init__(self, register: Path, *, columns: int = 120, lines: int = 40, environ: Mapping[str, str] = {}) -> None:
        self.raw = bytearray()
        self.screen: Any = JoiningScreen(columns, lines)
        self._stream: Any = pyte.ByteStream(self.screen)
        command = [sys.executable, "-m", "appreg", "--register", str(register)]
        surroundings = {
            **{name: value for name, value in os.environ.items() if name not in _OTHER_SIZE},
            "TERM": "xterm-256color",
            "COLORTERM": "truecolor",
            "LC_ALL": "C.UTF-8",
            **environ,
        }
        self.pid, self._terminal = pty.fork()
        if self.pid == 0:
            os.execvpe(command[0], command, surroundings)  # noqa: S606 - the program under test
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        self._code: int | None = None
        self._tells_frames = False

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.is_running():
            self.kill()
        os.close(self._terminal)

    def press(self, *keys: str) -> None:
        """Send keys by name; anything that is no name is typed as it stands."""
        for key in keys:
            os.write(self._terminal, KEYS.get(key, key).encode())

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

    def picture(self) -> str:
        """The screen as lines of text."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def is_running(self) -> bool:
        """Tell whether the program still runs."""
        if self._code is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self._code = os.waitstatus_to_exitcode(status)
        return self._code is None

    def kill(self) -> None:
        """End the program at once, as a power cut would."""
        os.kill(self.pid, signal.SIGKILL)
        _, status = os.waitpid(self.pid, 0)
        self._code = os.waitstatus_to_exitcode(status)

    def _read(self, patience: float) -> bool:
        if not select.select([self._terminal], [], [], patience)[0]:
            return False
        try:
            data = os.read(self._terminal, 65536)
        except OSError:  # the program has closed its end
            return False
        self.raw += data
        self._stream.feed(data)
        if not self._tells_frames and ASKS_ABOUT_FRAMES in self.raw:
            self._tells_frames = True
            self.press(TELLS_FRAMES)
        return bool(data)
