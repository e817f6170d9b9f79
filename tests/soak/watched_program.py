"""The program with a watch on its loop: `-m tests.soak.watched_program NOTES ...` runs `appreg ...`.

The open file of that number gets a line for each step in which it took no key for a while: when the step ended by the
system's steady clock, how long it took, how much of that it was at work, and how much was a search for garbage, all in
seconds, and whose step it was.
"""

import asyncio
import atexit
import gc
import os
import runpy
import sys
from asyncio.events import Handle
from collections.abc import Mapping
from time import perf_counter, thread_time
from typing import Final

NOTED: Final = 0.01
"""Seconds; shorter steps are not noted."""


def watch(notes: int) -> None:
    """Note every long step of the loop from now on, and write the notes when the program ends."""
    run = Handle._run
    long: list[str] = []
    searching = [0.0, 0.0]
    """When the last search for garbage began, and seconds that all since the step began took."""

    def searched(phase: str, _told: Mapping[str, int]) -> None:
        if phase == "start":
            searching[0] = perf_counter()
        else:
            searching[1] += perf_counter() - searching[0]

    def watched(handle: Handle) -> None:
        searching[1] = 0.0
        whose = handle._callback  # type: ignore[attr-defined]  # gone once it has run
        worked, began = thread_time(), perf_counter()
        run(handle)
        ended = perf_counter()
        if ended - began > NOTED:
            worked = thread_time() - worked
            long.append(f"{ended} {ended - began} {worked} {searching[1]} {name_of(whose)}\n")

    def written() -> None:
        os.pwrite(notes, "".join(long).encode(), 0)

    Handle._run = watched  # type: ignore[method-assign,assignment]
    gc.callbacks.append(searched)
    atexit.register(written)


def name_of(callback: object) -> str:
    """What a step is known by: the task that it goes on with, or the function that it calls."""
    owner = getattr(callback, "__self__", None)
    if isinstance(owner, asyncio.Task):
        return owner.get_name().replace("\n", " ")
    return str(getattr(callback, "__qualname__", callback)).replace("\n", " ")


if __name__ == "__main__":
    _, number, *arguments = sys.argv
    watch(int(number))
    sys.argv = ["appreg", *arguments]
    runpy.run_module("appreg", run_name="__main__", alter_sys=True)
