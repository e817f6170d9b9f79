"""What a library does in one go, done beside: whoever waits hears how far it is ten times a second, and may leave it."""

from collections.abc import Callable
from concurrent.futures import Future, wait
from threading import Thread
from typing import Final, TypeVar

R = TypeVar("R")

_A_LOOK: Final = 0.1
"""Seconds between two questions whether to go on."""


def done_beside(work: Callable[[], R], goes_on: Callable[[], object]) -> R:
    """What `work` comes to or raises; where `goes_on` raises, that is raised at once.

    Then the work goes on unheard to its end, which its own bounds have to bring within seconds: it cannot be ended.
    """
    done: Future[R] = Future()

    def run() -> None:
        try:
            done.set_result(work())
        except BaseException as problem:  # noqa: BLE001 - whoever waits is to hear of it, whatever it was
            done.set_exception(problem)

    # Waited for when the program ends: a thread that is cut off within a library can take the program with it.
    Thread(target=run, name="reading", daemon=False).start()
    while not wait([done], _A_LOOK).done:
        goes_on()
    return done.result()
