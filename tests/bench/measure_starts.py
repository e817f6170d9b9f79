"""Ratios of starting: the app's first frame, --version, and a query; `python -m tests.bench.measure_starts [ROUNDS]`."""

import os
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median

from tests.bench.bench_registers import bench_folder, register_of
from tests.bench.bench_report import report
from tests.bench.timed_session import TimedSession

HERE = Path(__file__).parent
ENVIRON = {"PYTHONPATH": str(HERE.parents[1])}
RUNS_A_ROUND = 3
"""A run takes a tenth of a second, and so little is stirred by anything else that wakes."""
UNLIKE_INSTALLED = "PYTHONDONTWRITEBYTECODE"
"""Where this is set every module is compiled at each start, which no installed program does."""


def waited(command: Sequence[str], *words: bytes) -> list[float]:
    """Seconds until a program has written some words on its terminal, then others."""
    with TimedSession([sys.executable, *command], environ=ENVIRON) as terminal:
        return [terminal.wait_for(each) for each in words]


def confirm_cautions(command: Sequence[str]) -> None:
    """Read the cautions of the first start, so that the starts measured are those of every other day."""
    with TimedSession([sys.executable, *command], environ=ENVIRON) as terminal:
        terminal.wait_for(b"F1")
        terminal.settle(1.0)
        if b"I have read this" in terminal.shown:
            terminal.press(b"y")
            terminal.settle(1.0)


def run(*command: str) -> tuple[float, float]:
    """Seconds that a command takes from start to end, and of those the processor's, less stirred by other work."""
    environ = {**os.environ, **ENVIRON}
    start = time.perf_counter()
    nowhere = [(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    child = os.posix_spawn(sys.executable, [sys.executable, *command], environ, file_actions=nowhere)
    _, status, used = os.wait4(child, 0)
    if status:
        raise ChildProcessError(f"{command} ended with {os.waitstatus_to_exitcode(status)}")
    return time.perf_counter() - start, used.ru_utime + used.ru_stime


def main(rounds: int) -> None:
    """Print the ratios with their targets."""
    os.environ.pop(UNLIKE_INSTALLED, None)
    path = str(register_of(100_000, bench_folder()))
    due = (
        "-m",
        "appreg",
        "due",
        "--on",
        "2026-11-24",
        "--within",
        "0",
        "--site",
        "Site 007",
        "--json",
        "--register",
        path,
    )
    app = ("-m", "appreg", "--register", path)
    confirm_cautions(app)
    frames, runs = [], []
    for _ in range(rounds + 1):
        frames.append(
            waited([str(HERE / "minimal_app.py")], b"Nothing else") + waited(app, b"Site 000", b"100000 items")
        )
        runs += [(run("-c", "pass"), run("-m", "appreg", "--version"), run(*due)) for _ in range(RUNS_A_ROUND)]
    minimal, opened, counted = (median(row[place] for row in frames[1:]) for place in range(3))
    report("first frame, 100 000 items, against a minimal app", opened / minimal, 2.0, f"{opened * 1000:.0f} ms")
    print(f"  all items counted, in a thread: {counted * 1000:.0f} ms")
    for clock, of_clock in enumerate(("", ", processor time")):
        nothing, version, query = (median(row[place][clock] for row in runs[RUNS_A_ROUND:]) for place in range(3))
        report(
            f"appreg --version, against python -c pass{of_clock}", version / nothing, 2.5, f"{version * 1000:.0f} ms"
        )
        report(f"appreg due --json, against the same{of_clock}", query / nothing, 7.0, f"{query * 1000:.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
