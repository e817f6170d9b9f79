"""A standard stream as commands write to it: what cannot be written is told, once, and never a fault."""

import os
from contextlib import suppress
from io import TextIOWrapper
from typing import TextIO

from appreg.errors import AppregError


class OutputLost(AppregError):
    """Standard output takes nothing: closed, or its disk is full."""

    exit_code = 1


def hold_standard_streams() -> None:
    """Open nothing in place of streams that were closed: a file opened later must not take the place of one."""
    for handle in range(3):
        try:
            os.fstat(handle)
        except OSError:
            os.open(os.devnull, os.O_RDWR)


class Outlet:
    """Text into a stream that may be closed, or fail; once its reader has gone, all that comes goes nowhere.

    A command then goes on to its end all the same: its exit code still tells what it came to.
    """

    __slots__ = ("_stream", "is_abandoned")

    def __init__(self, stream: TextIO | None) -> None:
        """Write escapes for what the stream's encoding lacks; None: the stream was closed before the program began."""
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
        self._stream = stream
        self.is_abandoned = False
        """Nobody reads any more."""

    def write(self, text: str) -> None:
        """Write a text; raises OutputLost where that cannot be."""
        if self.is_abandoned:
            return
        try:
            self._open().write(text)
        except BrokenPipeError:
            self.abandon()
        except (OSError, ValueError) as problem:
            raise self._lost(problem) from problem

    def flush(self) -> None:
        """Hand on everything written so far, as write()."""
        if self._stream is None or self.is_abandoned:
            return
        try:
            self._stream.flush()
        except BrokenPipeError:
            self.abandon()
        except (OSError, ValueError) as problem:
            raise self._lost(problem) from problem

    def keep_line_ends(self) -> None:
        """Write line ends as they are, on every system."""
        if isinstance(self._stream, TextIOWrapper):
            self._stream.reconfigure(newline="")

    @property
    def takes_all_letters(self) -> bool:
        """Whether no letter has to be written as an escape."""
        encoding = getattr(self._stream, "encoding", None) or "utf-8"
        return encoding.lower().replace("-", "").startswith("utf")

    def isatty(self) -> bool:
        """Tell whether a person watches."""
        return self._stream is not None and not self._stream.closed and self._stream.isatty()

    def abandon(self) -> None:
        """Let go what could not be written and what comes yet, and the end of the process does not try once more."""
        self.is_abandoned = True
        if self._stream is not None:
            with suppress(OSError, ValueError):
                os.dup2(os.open(os.devnull, os.O_WRONLY), self._stream.fileno())

    def _open(self) -> TextIO:
        if self._stream is None:
            raise OutputLost("Standard output is closed, so that nothing can be shown; what was recorded is kept.")
        return self._stream

    def _lost(self, problem: OSError | ValueError) -> OutputLost:
        reason = getattr(problem, "strerror", None) or "it is closed"
        return OutputLost(
            f"Standard output takes nothing ({reason}), so that not everything was shown; what was recorded is kept."
        )
