"""The program with a watch on its loop: `-m tests.soak.watched_program NOTES ...` runs `appreg ...`.

The open file of that number gets a line for each step in which it took no key for a while: when the step ended by the
system's steady clock, and how long it took, both in seconds.
"""

import atexit
import os
import runpy
import sys
from asyncio.events import Handle
from time import perf_counter
from typing import Final

NOTED: Final = 0.01
"""Seconds; shorter steps are not noted."""


def watch(notes: int) -> None:
    """Note every long step of the loop from now on, and write the notes when the program ends."""
    run = Handle._run
    long: list[tuple[float, float]] = []

    def watched(handle: Handle) -> None:
        began = perf_counter()
        run(handle)
        ended = perf_counter()
        if ended - began > NOTED:
            long.append((ended, ended - began))

    def written() -> None:
        os.pwrite(notes, "".join(f"{ended} {took}\n" for ended, took in long).encode(), 0)

    Handle._run = watched  # type: ignore[method-assign,assignment]
    atexit.register(written)


if __name__ == "__main__":
    _, number, *arguments = sys.argv
    watch(int(number))
    sys.argv = ["appreg", *arguments]
    runpy.run_module("appreg", run_name="__main__", alter_sys=True)
