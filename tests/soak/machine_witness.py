"""When the machine itself stood still: a little program beside the soak, that does hardly anything and should never wait.

`-m tests.soak.machine_witness FILE NOTES` writes a few bytes to a file, has them put on the disk and sleeps, over and over.
Where that takes long, the disk or the processor was kept from everybody: a line in NOTES says from when until when, by the
system's steady clock, in seconds.
"""

import os
import subprocess
import sys
import time
from collections.abc import Iterable
from pathlib import Path
from types import TracebackType
from typing import Final, Self

EVERY: Final = 0.01
"""Seconds that it sleeps."""
LONG: Final = 0.005
"""Seconds that it is late, or that the disk takes, from which it is noted: ten times the usual."""
_ROOT: Final = Path(__file__).parents[2]

Span = tuple[float, float]
"""From when until when, seconds."""


class MachineWitness:
    """Watches the machine until it is left; `spans` then tells when it stood still."""

    def __init__(self, folder: Path) -> None:
        """Write in that folder, on the disk whose waits are to be known."""
        self.spans: list[Span] = []
        self._file, self._notes = folder / "witness", folder / "witness-notes"
        self._notes.touch()

    def __enter__(self) -> Self:
        command = [sys.executable, "-m", __name__, str(self._file), str(self._notes)]
        self._process = subprocess.Popen(command, cwd=_ROOT)
        while not self._file.exists():
            assert self._process.poll() is None, "the witness has ended"
            time.sleep(EVERY)
        return self

    @property
    def pid(self) -> int:
        """Its process."""
        return self._process.pid

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._process.kill()
        self._process.wait()
        whole = self._notes.read_text(encoding="ascii").rpartition("\n")[0]
        self.spans = [(float(began), float(ended)) for began, ended in map(str.split, whole.splitlines())]


def overlap(began: float, ended: float, spans: Iterable[Span]) -> float:
    """Seconds of a time that lie within spans, none of which overlap."""
    return sum(max(min(ended, last) - max(began, first), 0.0) for first, last in spans)


def watch(file: Path, notes: Path) -> None:
    """Write, sleep and note, until somebody ends it."""
    disk = os.open(file, os.O_CREAT | os.O_WRONLY, 0o600)
    told = os.open(notes, os.O_WRONLY | os.O_APPEND)
    due = time.perf_counter()
    while True:
        awake = time.perf_counter()
        os.pwrite(disk, b"%016d" % int(awake * 1000), 0)
        os.fdatasync(disk)
        ended = time.perf_counter()
        for began, until in ((due, awake), (awake, ended)):
            if until - began > LONG:
                os.write(told, f"{began} {until}\n".encode())
        due = ended + EVERY
        time.sleep(EVERY)


if __name__ == "__main__":
    watch(*map(Path, sys.argv[1:]))
