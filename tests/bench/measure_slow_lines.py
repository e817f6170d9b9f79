"""What a person over a slow line waits for, in bytes and seconds; and that on a local terminal nothing takes longer for it."""

import os
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import chain, pairwise
from pathlib import Path
from statistics import median
from typing import Final, NamedTuple

from appreg.clock import local_today
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from tests.bench.bench_report import report
from tests.bench.slow_line import DELAY, RATE, SlowLine
from tests.bench.timed_session import TimedSession
from tests.own_homes import homes_in
from tests.terminal_program import TerminalProgram
from tests.ui.bench_register import KETTLE, WHO, lay_table

ROOT: Final = Path(__file__).parents[2]
COLUMNS, LINES = 120, 40
ITEMS: Final = 40
WORD: Final = "kettl"
KEYS: Final = (b" ", *(bytes([key]) for key in b"0.08\r>299\r"), b" ")
"""A kettle passed, but for the Enter that keeps it."""
QUIET: Final = 0.25
"""Seconds without output after which a frame is the last: those written whole come in several pieces."""
ENOUGH: Final = 3
"""Items inspected at first, and not measured: they load what all others use."""


def laid(folder: Path) -> Path:
    """A register with kettles on a visit of today."""
    path = folder / "register.sqlite"
    lay_table(path, *[("Kettle", KETTLE)] * ITEMS, on=local_today()).register.close()
    assert confirm_cautions(path, WHO, local_today(), surroundings(path))
    return path


def surroundings(path: Path) -> dict[str, str]:
    """Nothing is kept where this person's programs keep theirs."""
    return {"APPREG_WHO": WHO, "PYTHONPATH": str(ROOT), "LC_ALL": "C.UTF-8", **homes_in(path.parent)}


@contextmanager
def far_away(path: Path) -> Iterator[SlowLine]:
    """The program over a slow line, on its first screen."""
    command = [sys.executable, "-m", "appreg", "--register", str(path)]
    with TerminalProgram(command, columns=COLUMNS, lines=LINES, environ=surroundings(path)) as program:
        line = SlowLine(program, columns=COLUMNS, lines=LINES)
        line.wait_for(lambda picture: "Harbour Row 14" in picture)
        yield line


def measure_start(path: Path) -> None:
    """Bytes until the first screen stands: Textual draws it three times."""
    with far_away(path) as line:
        line.rest(1.0)
        report("the first screen, kB, at 120x40", line.passed / 1000, 12.0, f"{line.passed} bytes")


def measure_bench(path: Path) -> None:
    """Bytes of a passed inspection, and seconds from its Enter until the next item stands whole."""
    counts, waits = [], []
    alone: list[float] = []
    with far_away(path) as line:
        line.press(b"v")
        line.wait_for(lambda picture: "item 1 of" in picture)
        for number in range(1, 9):
            before = line.passed
            for key in KEYS:
                line.press(key)
                line.rest(0.12)
            line.wait_for(lambda picture: "enter keeps it" in picture)
            passed, worked = line.passed, line.worked()
            line.press(b"\r")
            waits.append(line.wait_for(lambda picture, at=number + 1: f"item {at} of" in picture))  # type: ignore[misc]
            alone.append((line.passed - passed) / RATE + line.worked() - worked)
            counts.append(line.passed - before)
    count, waited = median(counts[ENOUGH:]), median(waits[ENOUGH:])
    report("a passed inspection, kB, at 120x40", count / 1000, 25.0, f"{count:.0f} bytes")
    report("next item beyond the line's own delay, s", waited - 2 * DELAY, 0.5, f"{waited:.2f} s")
    report("the same on a machine that does nothing else, s", median(alone[ENOUGH:]), 0.5, "bytes and processor")


def measure_filter(path: Path) -> None:
    """Bytes of a letter of the filter, and seconds from the last letter until its rows stand."""
    waits, counts, alone = [], [], []
    with far_away(path) as line:
        line.press(b"\x1b[19~")
        line.wait_for(lambda picture: picture.lstrip().startswith("Items"))
        line.press(b"/")
        line.rest(1.0)
        for _ in range(3):
            for letter in WORD[:-1]:
                line.press(letter.encode())
                line.rest(0.15)
            line.wait_for(lambda picture: f"filter {WORD[:-1]}" in picture)
            before, worked = line.passed, line.worked()
            line.press(WORD[-1].encode())
            waits.append(line.wait_for(lambda picture: f"filter {WORD}" in picture))
            counts.append(line.passed - before)
            alone.append(counts[-1] / RATE + line.worked() - worked)
            line.press(b"\x15")
            line.wait_for(lambda picture: f"filter {WORD[:1]}" not in picture)
    report("a letter of the filter, kB", median(counts) / 1000, 1.0, f"{median(counts):.0f} bytes")
    waited = median(waits)
    report("the filter beyond the line's own delay, s", waited - 2 * DELAY, 0.3, f"{waited:.2f} s")
    report("the same on a machine that does nothing else, s", median(alone), 0.3, "bytes and processor")


class Local(NamedTuple):
    """What the program took on a terminal of this machine."""

    first: float
    """Seconds to the first words."""
    waited: list[float]
    """Of each of some keys, milliseconds to the last byte of its frame."""
    worked: list[float]
    """Of each, milliseconds of the processor."""


def local(module: str, path: Path) -> Local:
    """Run it as one of two programs."""
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    command = [sys.executable, "-m", module, "--register", str(path)]
    with TimedSession(command, environ=surroundings(path)) as terminal:
        first = terminal.wait_for(b"Harbour Row 14")
        terminal.settle(1.0)
        terminal.press(b"v")
        terminal.settle(1.0)
        waited, worked = [], [terminal.worked() * 1000]
        for key in (*KEYS, b"\r") * 2:
            waited.append(terminal.press(key, quiet=QUIET))
            worked.append(terminal.worked() * 1000)
        return Local(first, waited, [then - before for before, then in pairwise(worked)])


def measure_local(path: Path, rounds: int) -> None:
    """First frame and keys against the program that writes each frame whole."""
    pairs = [(local("tests.bench.whole_frames", path), local("appreg", path)) for _ in range(rounds + 1)][1:]
    whole, spared = (median(pair[place].first for pair in pairs) for place in (0, 1))
    report("first frame, against frames written whole", spared / whole, 1.05, f"{spared * 1000:.0f} ms")
    whole, spared = (median(chain.from_iterable(pair[place].waited for pair in pairs)) for place in (0, 1))
    report("key to the end of its frame, against the same", spared / whole, 1.05, f"{spared:.1f} ms")
    whole, spared = (median(chain.from_iterable(pair[place].worked for pair in pairs)) for place in (0, 1))
    report("processor time of a key, against the same", spared / whole, 1.05, f"{spared:.1f} ms")


def main(rounds: int) -> None:
    """Print bytes and seconds with their ceilings."""
    with tempfile.TemporaryDirectory() as folder:
        path = laid(Path(folder))
        measure_start(path)
        measure_bench(path)
        measure_filter(path)
        measure_local(path, rounds)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
