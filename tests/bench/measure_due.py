"""The due board at 100 000 items: counts and first lines in milliseconds; run as `python -m tests.bench.measure_due`."""

from collections.abc import Callable
from statistics import median
from time import perf_counter

from appreg.register.opening.register_file import open_register
from appreg.tasks.planning.group_due import DueGrouping, group_due
from appreg.tasks.planning.list_due import count_due, first_due, list_due
from tests.bench.bench_registers import TODAY, bench_folder, register_of
from tests.bench.bench_report import report

ROUNDS = 7


def milliseconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """The median time of some work."""
    times = []
    for _ in range(rounds):
        begun = perf_counter()
        work()
        times.append(perf_counter() - begun)
    return 1000 * median(times)


def main() -> None:
    """Print what a person waits for against its target."""
    with open_register(register_of(100_000, bench_folder())) as register:
        first = milliseconds(lambda: (count_due(register, today=TODAY), first_due(register, today=TODAY, limit=64)))
        report("counts and first lines of 100 000 items, ms", first, 100.0, f"{first:.1f} ms")
        groups = milliseconds(lambda: group_due(register, by=DueGrouping.SITE, today=TODAY))
        report("groups with twelve months, ms", groups, 1000.0, f"{groups:.0f} ms")
        whole = milliseconds(lambda: list_due(register, today=TODAY), rounds=1)
        print(f"  the whole board, read in a thread: {whole:.0f} ms")


if __name__ == "__main__":
    main()
