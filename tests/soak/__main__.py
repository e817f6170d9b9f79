"""The long day, on demand: `python -m tests.soak [ITEMS]` walks so many round and inspects them, and prints what it came to."""

import sys
import tempfile
from pathlib import Path
from typing import Final

from tests.bench.bench_report import report
from tests.own_homes import away_from_home
from tests.soak.soaking import soak

ITEMS: Final = 2000
GROWTH, MEMORY, PAUSE = 1.1, 1.05, 60.0


def main(arguments: list[str]) -> int:
    """Soak in a folder of its own; 1 where the register is not sound."""
    items = int(arguments[0]) if arguments else ITEMS
    with tempfile.TemporaryDirectory() as folder, away_from_home(Path(folder)):
        soaked = soak(Path(folder), items, items, lambda sentence: print(sentence, flush=True))
    print(f"{items} items walked round, {items} inspected; times are the processor's")
    for name, growth in soaked.growth.items():
        worked, waited = soaked.usual[name]
        report(
            f"{name}: the last hundred against the first", growth, GROWTH, f"{worked:.1f} ms, seen after {waited:.1f}"
        )
    for name, stop in soaked.stops.items():
        report(f"{name}: the longest stop, ms", stop, PAUSE, f"{soaked.worst[name]:.0f} ms with its work")
    report(
        "memory, late against early", soaked.memory, MEMORY, f"{soaked.held_early:.0f} MB, {soaked.held_late:.0f} MB"
    )
    print(*soaked.problems or ["The register is sound."], sep="\n")
    return int(bool(soaked.problems))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
