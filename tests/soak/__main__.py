"""The long day, on demand: `python -m tests.soak [ITEMS]` walks so many round and inspects them, and prints what it came to."""

import os
import sys
import tempfile
from pathlib import Path
from typing import Final

from tests.bench.bench_report import report
from tests.bench.measure_starts import UNLIKE_INSTALLED
from tests.own_homes import away_from_home
from tests.soak.soaked_program import Stop
from tests.soak.soaking import Soaked, soak

ITEMS: Final = 2000
GROWTH, MEMORY, STOP = 1.1, 1.05, 60.0
"""The last hundred against the first, memory late against early, and ms in which the program stands still: takes no key.

What a disk or a processor keeps from every program at the time is told beside it, and is not counted.
"""
REST: Final = 20.0
"""Seconds in which all screens are loaded."""
TOLD: Final = 5
"""The longest of the steps in which it stood still are told one by one."""
ANSWER: Final = 100.0
"""Ms from a key to the last byte of what it changed, which 99 of a hundred are held to; the worst is printed beside it.

Up to a tenth of a second an answer is felt to come at once (R. B. Miller, Response time in man-computer conversational
transactions, 1968; the figure from memory).
"""


def main(arguments: list[str]) -> int:
    """Soak in a folder of its own; 1 where a ceiling is missed or the register is not sound."""
    os.environ.pop(UNLIKE_INSTALLED, None)
    items = int(arguments[0]) if arguments else ITEMS
    with tempfile.TemporaryDirectory() as folder, away_from_home(Path(folder)):
        soaked = soak(Path(folder), items, items, lambda sentence: print(sentence, flush=True), rest=REST)
    print(
        f"{items} items walked round, {items} inspected; growth is of the processor's time, against a program that has just"
        " been started and did the same in the same minutes; all else is by the clock"
    )
    return int(not held(soaked))


def held(soaked: Soaked) -> bool:
    """Print what a long day came to; tell whether it stayed below every ceiling and left a sound register."""
    kept = []
    for name, growth in soaked.growth.items():
        worked, waited = soaked.usual[name]
        said = f"{worked:.1f} ms, seen after {waited:.1f}"
        kept.append(report(f"{name}: the last hundred against the first", growth, GROWTH, said))
    for name, answers in soaked.answers.items():
        said = f"median {answers.usual:.0f}, worst {answers.worst:.0f}"
        kept.append(
            report(f"{name}: from the key to all it changed, 99th of a hundred, ms", answers.rare, ANSWER, said)
        )
    said = "; ".join(told(stop, soaked.own(stop)) for stop in sorted(soaked.stops, key=lambda stop: -stop.took)[:TOLD])
    kept.append(report("the longest that it stood still, ms", soaked.longest_stop, STOP, said))
    waits = sorted((ended - began for began, ended in soaked.machine), reverse=True)
    print(f"the machine itself stood still {len(waits)} times, ms:", *(f"{wait * 1000:.0f}" for wait in waits[:TOLD]))
    said = f"{soaked.held_early:.0f} MB, {soaked.held_late:.0f} MB"
    kept.append(report("memory, late against early", soaked.memory, MEMORY, said))
    print(*soaked.problems or ["The register is sound."], sep="\n")
    return all(kept) and not soaked.problems


def told(stop: Stop, own: float) -> str:
    """How long it stood still by the clock, and at what; `own` without what the machine stood still meanwhile."""
    return (
        f"{stop.took * 1000:.0f} {stop.whose}, {stop.worked * 1000:.0f} of it at work,"
        f" {stop.searched * 1000:.0f} in a search for garbage, {(stop.took - own) * 1000:.0f} while the machine stood still"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
