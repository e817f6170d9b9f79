"""Progress is told to a person at a terminal, after a while, and leaves no trace."""

from collections.abc import Iterator
from io import StringIO
from itertools import count

import pyte
import pytest

from appreg.cli.console import PATIENCE, ProgressLine


class Terminal(StringIO):
    def isatty(self) -> bool:
        return True


def clock(step: float) -> Iterator[float]:
    return (step * tick for tick in count())


def told(stream: StringIO, step: float) -> str:
    ticks = clock(step)
    with ProgressLine(stream, "planning", clock=lambda: next(ticks)) as progress:
        assert all(progress(done, 40) for done in range(41))
    return stream.getvalue()


def on_screen(written: str) -> list[str]:
    screen = pyte.Screen(80, 2)
    pyte.Stream(screen).feed(written)
    return [line.rstrip() for line in screen.display]


def test_a_long_task_tells_how_far_it_is_and_wipes_the_line() -> None:
    written = told(Terminal(), 0.2)
    assert "planning: 50 % (Ctrl+C stops)" in written
    assert on_screen(written + "$ ") == ["$", ""]


def test_a_task_that_is_stopped_leaves_no_line_behind() -> None:
    terminal, ticks = Terminal(), clock(1.0)

    def planning() -> None:
        with ProgressLine(terminal, "planning", clock=lambda: next(ticks)) as progress:
            progress(1, 2)
            assert on_screen(terminal.getvalue()) == ["planning: 50 % (Ctrl+C stops)", ""]
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        planning()
    assert on_screen(terminal.getvalue() + "$ ") == ["$", ""]


def test_a_quick_task_tells_nothing() -> None:
    assert told(Terminal(), PATIENCE / 100) == ""


def test_nothing_is_told_where_nobody_looks() -> None:
    assert told(StringIO(), 1.0) == ""


def test_a_shorter_line_covers_the_longer_one_before() -> None:
    terminal, ticks = Terminal(), clock(1.0)
    with ProgressLine(terminal, "x", clock=lambda: next(ticks)) as progress:
        progress(100, 100)
        progress(1, 100)
        assert on_screen(terminal.getvalue()) == ["x: 1 % (Ctrl+C stops)", ""]
