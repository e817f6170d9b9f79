"""The program beside itself: `-m tests.doubled_program NOTES ...` runs `appreg ...` and compares what the terminal shows.

Each frame is drawn twice, as it was written and as it would have been if nothing were left out. The open file of that
number gets how many frames were compared and, where the two pictures differ, the first line that does.
"""

import os
import runpy
import sys
from typing import Final

from appreg.ui.shell.terminal_cells import FRAME_ENDS, TerminalCells
from tests.terminal.quick_screen import QuickScreen

CLEARS: Final = "\x1b[?1049h"
ALIKE: Final = "alike"


class DoubledCells(TerminalCells):
    """Notes where leaving something out is seen."""

    notes = -1
    frames = 0

    def resize(self, columns: int, lines: int) -> None:
        """Begin with two blank screens of that size."""
        super().resize(columns, lines)
        self._size = (columns, lines)
        self._blank()

    def changed(self, text: str) -> str:
        """Draw the text on one screen and what is left of it on the other."""
        less = super().changed(text)
        if hasattr(self, "_size"):
            if CLEARS in text:
                self._blank()
            self._whole.feed(text.encode("utf-8", errors="replace"))
            self._spared.feed(less.encode("utf-8", errors="replace"))
            if less.endswith(FRAME_ENDS):
                self._compare()
        return less

    def _blank(self) -> None:
        self._whole, self._spared = QuickScreen(*self._size), QuickScreen(*self._size)

    def _compare(self) -> None:
        DoubledCells.frames += 1
        lines = self._whole.drawn_on() | self._spared.drawn_on()  # the others are as they were when last compared
        differing = next((line for line in sorted(lines) if self._whole.row(line) != self._spared.row(line)), None)
        if differing is None:
            os.pwrite(DoubledCells.notes, f"{DoubledCells.frames:9} {ALIKE}".encode(), 0)
            return
        pictures = (screen.display[differing] for screen in (self._whole, self._spared))
        os.write(DoubledCells.notes, "\n".join(("", f"line {differing}", *pictures)).encode())


if __name__ == "__main__":
    from appreg.ui.shell import (
        terminal_cells,  # not the driver: the toolkit is to be loaded as late as the program does
    )

    _, notes, *arguments = sys.argv
    DoubledCells.notes = int(notes)
    os.write(DoubledCells.notes, f"{0:9} {ALIKE}".encode())
    terminal_cells.TerminalCells = DoubledCells  # type: ignore[misc]
    sys.argv = ["appreg", *arguments]
    runpy.run_module("appreg", run_name="__main__", alter_sys=True)
