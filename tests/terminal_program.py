"""A program on a pseudo-terminal of its own: bytes go in, bytes come out, and it is told what a terminal tells."""

import fcntl
import os
import pty
import select
import signal
import struct
import termios
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self

ASKS_ABOUT_FRAMES: Final = b"\x1b[?2026$p"
TELLS_FRAMES: Final = b"\x1b[?2026;2$y"
"""How a terminal says, when it is asked, that it draws whole frames at once."""

_OTHER_SIZE: Final = frozenset({"COLUMNS", "LINES"})
"""The size of the terminal that the tests themselves are run from; a program would believe them."""


_IGNORED_BESIDE: Final = (signal.SIGHUP, signal.SIGINT, signal.SIGQUIT)
"""A shell has what it runs beside itself ignore these, and that is handed on; no program that a person starts ignores them."""


class TerminalProgram:
    """Runs a command on a terminal of a given size until it is left."""

    def __init__(self, command: Sequence[str], *, columns: int, lines: int, environ: Mapping[str, str]) -> None:
        surroundings = {
            **{name: value for name, value in os.environ.items() if name not in _OTHER_SIZE},
            "TERM": "xterm-256color",
            "COLORTERM": "truecolor",
            **environ,
        }
        self.pid, self._terminal = pty.fork()
        if self.pid == 0:
            for number in _IGNORED_BESIDE:
                signal.signal(number, signal.SIG_DFL)
            os.execvpe(command[0], list(command), surroundings)  # noqa: S606 - the program under test
        self.resize(columns, lines)
        self._code: int | None = None
        self._tells_frames = False
        self._before = b""
        """The end of what was read last: a question may come in two pieces."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.is_running():
            self.kill()
        if self._terminal >= 0:
            os.close(self._terminal)

    def write(self, keys: bytes) -> None:
        """Send what a keyboard sends."""
        os.write(self._terminal, keys)

    def is_running(self) -> bool:
        """Tell whether the program still runs."""
        if self._code is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self._code = os.waitstatus_to_exitcode(status)
        return self._code is None

    @property
    def code(self) -> int | None:
        """The exit code, once it has ended; minus the signal where one has ended it at once."""
        return None if self.is_running() else self._code

    def signal(self, number: signal.Signals) -> None:
        """Send a signal to the program."""
        os.kill(self.pid, number)

    def worked(self) -> float:
        """Seconds of the processor that its first thread has had so far, by the kernel's account."""
        account = Path(f"/proc/{self.pid}/task/{self.pid}/schedstat").read_text(encoding="ascii")
        return int(account.split()[0]) / 1e9

    def has_stopped(self) -> bool:
        """Tell whether a signal has stopped the program."""
        pid, status = os.waitpid(self.pid, os.WUNTRACED | os.WNOHANG)
        assert not pid or os.WIFSTOPPED(status), "it has ended"
        return bool(pid)

    def modes(self) -> list[Any]:
        """How the terminal treats what is typed."""
        return termios.tcgetattr(self._terminal)

    def resize(self, columns: int, lines: int) -> None:
        """Give the terminal another size."""
        fcntl.ioctl(self._terminal, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))

    def hang_up(self) -> None:
        """Close the terminal, as when its window is closed or its line is cut."""
        os.close(self._terminal)
        self._terminal = -1

    def kill(self) -> None:
        """End the program at once, as a power cut would."""
        os.kill(self.pid, signal.SIGKILL)
        _, status = os.waitpid(self.pid, 0)
        self._code = os.waitstatus_to_exitcode(status)

    def read(self, patience: float) -> bytes:
        """What has been written, waited for so many seconds; nothing where nothing came."""
        if not select.select([self._terminal], [], [], max(patience, 0))[0]:
            return b""
        try:
            data = os.read(self._terminal, 1 << 16)
        except OSError:  # the program has closed its end
            return b""
        if not self._tells_frames and ASKS_ABOUT_FRAMES in self._before + data:
            self._tells_frames = True
            self.write(TELLS_FRAMES)
        self._before = data[-len(ASKS_ABOUT_FRAMES) :]
        return data
