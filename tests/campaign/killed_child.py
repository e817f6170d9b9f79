"""A child process that works until it is killed, and tells through a pipe what it was told is saved."""

import os
import signal
import time
from collections.abc import Callable
from random import Random
from typing import NoReturn

Confirm = Callable[[str], None]
"""Tells the parent one thing that has been confirmed to a person."""


def confirmed_before_the_kill(work: Callable[[Confirm], None], dice: Random, *, most_seconds: float) -> list[str]:
    """Run `work` in a child, kill it at a random moment, and return what it had confirmed until then.

    A child that ends by itself is as good; one that raises tells it as a line that begins with "raised".
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _work_and_end(work, writing)
    os.close(writing)
    time.sleep(dice.uniform(0, most_seconds))
    os.kill(child, signal.SIGKILL)
    with os.fdopen(reading, "rb") as pipe:
        told = pipe.read().decode()
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
