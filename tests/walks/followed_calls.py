"""What one key sets going, counted: calls of the program's own functions, the files they stand in, moves between these."""

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from types import FrameType
from typing import Any, Final

from msgspec import Struct, field

import appreg

_HOME: Final = Path(appreg.__file__).parent


class Walk(Struct):
    """The calls of a stretch of work, in all threads; a generator or coroutine gone on with is called once more."""

    calls: int = 0
    moves: int = 0
    """Calls into another file than the call before, in the same thread, went to."""
    files: dict[str, int] = field(default_factory=dict)
    """Calls by file, named from the package's folder."""

    @property
    def rooms(self) -> tuple[str, ...]:
        """The rooms entered, in alphabetical order."""
        return tuple(sorted({room_of(file) for file in self.files}))


def room_of(file: str) -> str:
    """The room that a file stands in; `beside` where it stands in none."""
    return file.partition("/")[0] if "/" in file else "beside"


class CallFollower:
    """Counts what is called between `begin` and `end`; threads that began before it was put up are not seen."""

    def __init__(self) -> None:
        """Count nothing yet."""
        self._walk: Walk | None = None
        self._at = threading.local()
        self._lock = threading.Lock()

    @contextmanager
    def put_up(self) -> Iterator[None]:
        """Look at this thread, and at each that begins meanwhile."""
        threading.setprofile(self._called)
        sys.setprofile(self._called)
        try:
            yield
        finally:
            sys.setprofile(None)
            threading.setprofile(None)

    def begin(self) -> None:
        """Count from here, in every thread that is looked at."""
        self._at = threading.local()
        self._walk = Walk()

    def end(self) -> Walk:
        """Stop counting, and give what was counted."""
        walk, self._walk = self._walk or Walk(), None
        return walk

    def _called(self, frame: FrameType, event: str, _: Any) -> None:
        walk = self._walk
        if walk is None or event != "call":
            return
        file = _file_in_package(frame.f_code.co_filename)
        if not file:
            return
        with self._lock:
            walk.calls += 1
            walk.moves += file != getattr(self._at, "file", file)
            walk.files[file] = walk.files.get(file, 0) + 1
        self._at.file = file


@cache
def _file_in_package(name: str) -> str:
    path = Path(name)
    return path.relative_to(_HOME).as_posix() if path.is_relative_to(_HOME) else ""
