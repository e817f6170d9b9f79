"""The one reader of files that a person gives the program: whatever is named, it ends, and within bounds."""

import os
import stat
import time
from pathlib import Path
from typing import BinaryIO, Final

from appreg.errors import InputRefused

_KINDS: Final = (
    (stat.S_ISDIR, "is a folder"),
    (stat.S_ISCHR, "is a device"),
    (stat.S_ISBLK, "is a device"),
    (stat.S_ISSOCK, "is a socket"),
)
_PATIENCE: Final = 5.0
"""Seconds that a pipe may take to give all it has."""
_PIECE: Final = 65_536


class GivenFileRefused(InputRefused):
    """A file that cannot be used, in one sentence: its path, what is wrong, what to do."""

    def __init__(self, path: Path, what: str, todo: str) -> None:
        super().__init__(f"{path} {what}; {todo}.")
        self.what = what
        """What is wrong, as the file's own predicate."""
        self.todo = todo
        """What to do about it, without a full stop."""


def read_text(path: Path, *, what: str, most_bytes: int) -> str:
    """The text of a file, its line ends as one newline; raises GivenFileRefused as read_bytes(), and for no text."""
    return text_in(path, read_bytes(path, what=what, most_bytes=most_bytes))


def text_in(path: Path, content: bytes) -> str:
    """What was read of a file as text, its line ends as one newline; raises GivenFileRefused for no text."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise GivenFileRefused(path, "is not UTF-8 text", "save it as UTF-8") from problem
    if "\0" in text:
        raise GivenFileRefused(path, "holds zero bytes, so it is no text", "check that it is the right file")
    return text.replace("\r\n", "\n").replace("\r", "\n")


def read_bytes(path: Path, *, what: str, most_bytes: int) -> bytes:
    """What a file holds, or a pipe gives; `what` names in the plural what it is read for: 'holidays'.

    Raises GivenFileRefused for anything else, for a file longer than `most_bytes`, and for a pipe that keeps waiting.
    """
    try:
        _refuse_kind(path, path.stat().st_mode)
        # Not waiting: a pipe that nobody writes into would never open.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            mode = os.fstat(handle).st_mode
            _refuse_kind(path, mode)
            content = _read(path, handle, most_bytes, is_pipe=stat.S_ISFIFO(mode))
        finally:
            os.close(handle)
    except ValueError as problem:
        raise GivenFileRefused(path, "can be no file", "check the path") from problem
    except OSError as problem:
        raise GivenFileRefused(path, f"cannot be read ({problem.strerror or problem})", "check the path") from problem
    if len(content) > most_bytes:
        raise GivenFileRefused(
            path, f"is longer than {size_words(most_bytes)}, too long for {what}", "check that it is the right file"
        )
    return content


def opened_given(path: Path) -> BinaryIO:
    """A regular file of any length, to be read piece by piece; raises GivenFileRefused for anything else.

    Whoever reads it holds no more of it at once than is meant to be held.
    """
    try:
        _refuse_kind(path, path.stat().st_mode)
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except ValueError as problem:
        raise GivenFileRefused(path, "can be no file", "check the path") from problem
    except OSError as problem:
        raise GivenFileRefused(path, f"cannot be read ({problem.strerror or problem})", "check the path") from problem
    mode = os.fstat(handle).st_mode
    if stat.S_ISREG(mode):
        return open(handle, "rb")  # noqa: PTH123 - a handle, not a path; whoever asked for it closes it
    os.close(handle)
    _refuse_kind(path, mode)
    raise GivenFileRefused(path, "is a pipe", "write what it gives into a file, and name that")


def begins_with(path: Path, head: bytes) -> bool:
    """Tell whether a regular file begins with these bytes; a pipe, which might never give any, does not."""
    try:
        with opened_given(path) as file:
            return file.read(len(head)) == head
    except (GivenFileRefused, OSError):
        return False


def size_words(count: int) -> str:
    """A number of bytes as people say it: 100 kB."""
    return f"{count // 1_000_000} MB" if count >= 1_000_000 else f"{count // 1000} kB"  # noqa: PLR2004 - a million


def _refuse_kind(path: Path, mode: int) -> None:
    for is_kind, what in _KINDS:
        if is_kind(mode):
            raise GivenFileRefused(path, what, "name a file")


def _read(path: Path, handle: int, most_bytes: int, *, is_pipe: bool) -> bytes:
    """Read to the end, or one byte more than may be."""
    until = time.monotonic() + _PATIENCE
    content = bytearray()
    while len(content) <= most_bytes:
        try:
            piece = os.read(handle, min(_PIECE, most_bytes + 1 - len(content)))
        except BlockingIOError:
            if time.monotonic() > until:
                raise GivenFileRefused(path, "is a pipe that gives nothing for five seconds", "name a file") from None
            time.sleep(0.01)
            continue
        if not piece:
            break
        content += piece
    if is_pipe and not content:
        raise GivenFileRefused(path, "is a pipe that gives nothing", "name a file")
    return bytes(content)
