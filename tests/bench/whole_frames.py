"""The program as it would be if each frame were written whole and at once: `-m tests.bench.whole_frames ...`."""

import runpy
import sys

from textual.drivers.linux_driver import LinuxDriver

from appreg.ui.shell.held_frames import FrameHold
from appreg.ui.shell.terminal_driver import TerminalDriver

if __name__ == "__main__":
    TerminalDriver.write = LinuxDriver.write  # type: ignore[method-assign]
    FrameHold.begin = FrameHold.__init__  # type: ignore[method-assign]
    sys.argv[0] = "appreg"
    runpy.run_module("appreg", run_name="__main__", alter_sys=True)
