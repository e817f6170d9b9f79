"""How far a long command has come: one line of a terminal, gone when it is done."""

from collections.abc import Callable
from time import monotonic
from types import TracebackType
from typing import Final, Protocol, Self

PATIENCE: Final = 0.5
"""Seconds before anything is told: most commands are done by then."""
PERIOD: Final = 0.1
"""Seconds from one telling to the next."""


class Watched(Protocol):
    """What a progress line needs of a stream."""

    def isatty(self) -> bool:
        """Tell whether a person watches."""

    def write(self, text: str, /) -> object:
        """Write a text."""

    def flush(self) -> None:
        """Hand on what was written."""


class ProgressLine:
    """Called with (done, all) by a task; tells a person at a terminal, and nobody else."""

    def __init__(self, stream: Watched, words: str, *, clock: Callable[[], float] = monotonic) -> None:
        """Write to a stream where that is a terminal; `words` say what is done."""
        self._terminal = stream if stream.isatty() else None
        self._words = words
        self._clock = clock
        self._next = clock() + PATIENCE
        self._width = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._width:
            self._draw("")

    def __call__(self, done: int, total: int) -> bool:
        """Tell it when it is time; the answer lets the task go on."""
        now = self._clock()
        if self._terminal is not None and now >= self._next and total > 0:
            self._next = now + PERIOD
            self._draw(f"{self._words}: {100 * done // total} % (Ctrl+C stops)")
        return True

    def _draw(self, text: str) -> None:
        """Write over what stands in the line."""
        if self._terminal is not None:
            self._terminal.write(f"\r{text:<{self._width}}" + ("" if text else "\r"))
            self._terminal.flush()
        self._width = len(text)
