"""Ratios of the list of items at 100 000 rows; run as `python -m tests.bench.measure_lists [ROUNDS]`."""

import sys
from collections.abc import Sequence
from pathlib import Path
from statistics import median

from tests.bench.bench_registers import bench_folder, register_of
from tests.bench.bench_report import report
from tests.bench.timed_session import TimedSession

HERE = Path(__file__).parent
FEW, MANY = 1_000, 100_000
DOWN, PAGE_DOWN, CTRL_END, SLASH, ENTER = b"\x1b[B", b"\x1b[6~", b"\x1b[1;5F", b"/", b"\r"
FIRST_ROW = b"S000-001"


def session(kind: str, path: Path) -> TimedSession:
    """Start one of the programs on a terminal."""
    command = [sys.executable, str(HERE / f"{kind}_app.py"), str(path)]
    return TimedSession(command, environ={"PYTHONPATH": str(HERE.parents[1])})


def first_rows(kind: str, path: Path) -> tuple[float, int]:
    """Seconds until the first row stands on the screen, and the memory held once all is still, kB."""
    with session(kind, path) as terminal:
        seconds = terminal.wait_for(FIRST_ROW)
        terminal.settle()
        return seconds, terminal.resident_kilobytes()


def keys(kind: str, path: Path) -> tuple[float, float, float]:
    """Milliseconds a cursor key, a page key, and the worst page key in twenty take."""
    with session(kind, path) as terminal:
        terminal.wait_for(FIRST_ROW)
        terminal.settle()
        for _ in range(3):
            terminal.press(DOWN)
        downs = [terminal.press(DOWN) for _ in range(40)]
        pages = [terminal.press(PAGE_DOWN) for _ in range(20)]
    return median(downs), median(pages), sorted(pages)[-2]


WORDS = ("kett", "grin", "s123")
KEYS = ("site:12 state:in", "state:over site:1")


def filter_keys(path: Path, asked: Sequence[str]) -> list[float]:
    """Milliseconds from each letter of what is asked until the rows that answer have been drawn, or why none does."""
    times = []
    with session("items", path) as terminal:
        terminal.wait_for(FIRST_ROW)
        terminal.settle()
        terminal.press(SLASH)
        for word in asked:
            times += [terminal.press(bytes([letter]), quiet=0.3) for letter in word.encode()]
            for _ in word:
                terminal.press(b"\x7f")
            terminal.settle(0.3)
    return times


def main(rounds: int) -> None:
    """Print the ratios with their targets."""
    folder = bench_folder()
    few, many = register_of(FEW, folder), register_of(MANY, folder)
    for warm in (few, many):
        first_rows("items", warm)
    timed = [(first_rows("items", few), first_rows("items", many)) for _ in range(rounds)]
    few_s, many_s = (median(pair[place][0] for pair in timed) for place in (0, 1))
    few_kb, many_kb = (median(pair[place][1] for pair in timed) for place in (0, 1))
    report("first rows, 100 000 items against 1 000", many_s / few_s, 1.15, f"{many_s * 1000:.0f} ms")
    report("memory, 100 000 items against 1 000", many_kb / few_kb, 1.10, f"{many_kb / 1024:.0f} MB")
    pressed = [(keys("items", many), keys("table", few)) for _ in range(rounds)]
    ours = [median(pair[0][place] for pair in pressed) for place in range(3)]
    theirs = [median(pair[1][place] for pair in pressed) for place in range(3)]
    report("cursor key, against DataTable with 1 000 rows", ours[0] / theirs[0], 1.0, f"{ours[0]:.1f} ms")
    report("page key, against DataTable with 1 000 rows", ours[1] / theirs[1], 0.5, f"{ours[1]:.1f} ms")
    for what, asked in (("letter", WORDS), ("letter of site:… state:…", KEYS)):
        typed = median(time for _ in range(rounds) for time in filter_keys(many, asked))
        report(f"{what} in the filter until its rows, ms", typed, 50.0, f"{typed:.1f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
