"""A child process that works until it is killed, and tells through a pipe what it was told is saved."""

import os
import select
import signal
import time
from collections.abc import Callable
from random import Random
from threading import Lock
from typing import Final, NoReturn

Confirm = Callable[[str], None]
"""Tells the parent one thing that has been confirmed to a person."""
_STARTING: Final = Lock()
"""A child must not hold the end of another's pipe, which would then never be told closed."""
_PIECE: Final = 65536


def confirmed_before_the_kill(
    work: Callable[[Confirm], None],
    dice: Random,
    *,
    most_seconds: float,
    meanwhile: Callable[[], None] | None = None,
) -> list[str]:
    """Run `work` in a child, kill it at a random moment, and return what it had confirmed until then.

    `meanwhile` is done in this process while the child works, at a random moment of the same length before.
    A child that ends by itself is as good; one that raises tells it as a line that begins with "raised".
    """
    child, reading = _started(work)
    if meanwhile is not None:
        time.sleep(dice.uniform(0, most_seconds))
        meanwhile()
    time.sleep(dice.uniform(0, most_seconds))
    os.kill(child, signal.SIGKILL)
    return _lines_of(child, reading)


def confirmed_within(work: Callable[[Confirm], None], seconds: float) -> list[str]:
    """The same with a child that is killed after so long; it is listened to meanwhile, however much it has to tell."""
    child, reading = _started(work)
    until = time.monotonic() + seconds
    told = b""
    while (left := until - time.monotonic()) > 0:
        if not select.select([reading], [], [], left)[0]:
            break
        if not (piece := os.read(reading, _PIECE)):
            break
        told += piece
    os.kill(child, signal.SIGKILL)
    return _lines_of(child, reading, told)


def confirmed_by_its_end(work: Callable[[Confirm], None]) -> list[str]:
    """Run `work` in a child and return what it confirmed; one that raises tells it as confirmed_before_the_kill()."""
    return _lines_of(*_started(work))


def _started(work: Callable[[Confirm], None]) -> tuple[int, int]:
    with _STARTING:
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            _work_and_end(work, writing)
        os.close(writing)
    return child, reading


def _lines_of(child: int, reading: int, before: bytes = b"") -> list[str]:
    with os.fdopen(reading, "rb") as pipe:
        told = (before + pipe.read()).decode()
    os.waitpid(child, 0)
    return [line for line in told.split("\n")[:-1] if line]


def _work_and_end(work: Callable[[Confirm], None], writing: int) -> NoReturn:
    """Nothing of the parent's may be flushed, closed or cleaned up by its child."""
    try:
        work(lambda line: _write_line(writing, line))
    except BaseException as problem:  # noqa: BLE001 - the parent is to hear of it, whatever it was
        _write_line(writing, f"raised {type(problem).__name__}: {problem}".replace("\n", " "))
    os._exit(0)


def _write_line(writing: int, line: str) -> None:
    os.write(writing, f"{line}\n".encode())
