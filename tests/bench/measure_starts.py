"""Ratios of starting: the app's first frame, --version, and a query; `python -m tests.bench.measure_starts [ROUNDS]`."""

import os
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from statistics import median

from tests.bench.bench_registers import bench_folder, register_of
from tests.bench.bench_report import report
from tests.bench.terminal_session import TerminalSession

HERE = Path(__file__).parent
ENVIRON = {"PYTHONPATH": str(HERE.parents[1])}


def first_frame(command: Sequence[str], words: bytes) -> float:
    """Seconds until a program has written some words on its terminal."""
    with TerminalSession([sys.executable, *command], environ=ENVIRON) as terminal:
        return terminal.wait_for(words)


def confirm_cautions(command: Sequence[str]) -> None:
    """Read the cautions of the first start, so that the starts measured are those of every other day."""
    with TerminalSession([sys.executable, *command], environ=ENVIRON) as terminal:
        terminal.wait_for(b"F1")
        terminal.settle(1.0)
        if b"I have read this" in terminal.shown:
            terminal.press(b"y")
            terminal.settle(1.0)


def run(*command: str) -> float:
    """Seconds that a command takes from start to end."""
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, *command], env={**os.environ, **ENVIRON}, check=False, stdout=subprocess.DEVNULL, timeout=60
    )
    return time.perf_counter() - start


def main(rounds: int) -> None:
    """Print the ratios with their targets."""
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
    rows = [
        (
            first_frame([str(HERE / "minimal_app.py")], b"Nothing else"),
            first_frame(app, b"Sites"),
            run("-c", "pass"),
            run("-m", "appreg", "--version"),
            run(*due),
        )
        for _ in range(rounds + 1)
    ][1:]
    minimal, opened, nothing, version, query = (median(row[place] for row in rows) for place in range(5))
    report("first frame, 100 000 items, against a minimal app", opened / minimal, 2.0, f"{opened * 1000:.0f} ms")
    report("appreg --version, against python -c pass", version / nothing, 2.5, f"{version * 1000:.0f} ms")
    report("appreg due --json of one site, against python -c pass", query / nothing, 7.0, f"{query * 1000:.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
