"""What the screen's thread does is not held up by a thread beside it at each of its calls into the database."""

import sqlite3
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from appreg.ui.shell.terminal_app import THREAD_TURN, TerminalApp

CALLS = 40
"""As many as a save of an inspection has."""


@contextmanager
def somebody_at_work() -> Iterator[None]:
    """A thread beside that never waits for anything."""
    ended = threading.Event()

    def work() -> None:
        while not ended.is_set():
            sum(range(1000))

    thread = threading.Thread(target=work)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def usual_seconds(turn: float) -> float:
    """What so many calls take, in the middle of some tries."""
    before, took = sys.getswitchinterval(), []
    sys.setswitchinterval(turn)
    try:
        with sqlite3.connect(":memory:") as connection, somebody_at_work():
            for _ in range(7):
                began = time.perf_counter()
                for _ in range(CALLS):
                    connection.execute("SELECT 1").fetchall()
                took.append(time.perf_counter() - began)
    finally:
        sys.setswitchinterval(before)
    return sorted(took)[3]


def test_calls_into_the_database_wait_much_less_for_a_thread_at_work() -> None:
    assert usual_seconds(THREAD_TURN) < usual_seconds(sys.getswitchinterval()) / 3


@pytest.mark.parametrize(("headless", "turn"), [(False, THREAD_TURN), (True, None)])
async def test_turns_are_short_while_the_program_is_on_a_terminal(
    headless: bool, turn: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(TerminalApp, "is_headless", headless)
    usual = sys.getswitchinterval()
    app = TerminalApp()
    async with app.run_test():
        assert sys.getswitchinterval() == pytest.approx(turn or usual)
    assert sys.getswitchinterval() == pytest.approx(usual)
