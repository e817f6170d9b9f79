"""What the screen's thread waits for a thread beside it, with our turns and with Python's own; run as `python -m tests.bench.measure_turns`."""

import sqlite3
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from statistics import median
from typing import Final

from appreg.ui.shell.terminal_app import THREAD_TURN
from tests.bench.bench_report import report

CALLS: Final = 40
"""Calls into SQLite, about as many as a save of an inspection has."""
COUNTED: Final = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 500) SELECT count(*) FROM n"
"""Takes long enough for the thread beside to come to its turn, as a row with its indexes does."""
TRIES: Final = 15
TARGET: Final = 0.25


@contextmanager
def somebody_at_work() -> Iterator[None]:
    """A thread beside that never waits for anything."""
    begun, ended = threading.Event(), threading.Event()

    def work() -> None:
        begun.set()
        while not ended.is_set():
            sum(range(1000))

    thread = threading.Thread(target=work)
    thread.start()
    begun.wait()
    try:
        yield
    finally:
        ended.set()
        thread.join()


def usual_ms(turn: float) -> float:
    """What so many calls take beside a thread at work, in the middle of some tries."""
    before, took = sys.getswitchinterval(), []
    sys.setswitchinterval(turn)
    try:
        with sqlite3.connect(":memory:") as connection, somebody_at_work():
            for _ in range(TRIES):
                began = time.perf_counter()
                for _ in range(CALLS):
                    connection.execute(COUNTED).fetchall()
                took.append((time.perf_counter() - began) * 1000)
    finally:
        sys.setswitchinterval(before)
    return median(took)


def main() -> int:
    """Print what both come to; 1 where ours is not a quarter of the usual."""
    ours, usual = usual_ms(THREAD_TURN), usual_ms(sys.getswitchinterval())
    said = f"{ours:.1f} ms, with Python's own turns {usual:.1f}"
    return int(not report(f"{CALLS} calls into SQLite beside a thread at work", ours / usual, TARGET, said))


if __name__ == "__main__":
    sys.exit(main())
