"""A minute of the long day, and what the long day makes of a missed ceiling."""

import os
import signal
import time
from pathlib import Path

import pytest

from tests.soak.__main__ import ANSWER, GROWTH, MEMORY, STOP, held
from tests.soak.machine_witness import MachineWitness, overlap
from tests.soak.soaked_program import Stop, Taken
from tests.soak.soaking import Keys, Soaked, soak

USUAL = 0.02


def test_nothing_grows_while_items_are_walked_round_and_inspected(tmp_path: Path) -> None:
    soaked = soak(tmp_path, items=20, inspections=18)
    assert soaked.problems == ()
    assert len(soaked.day.saves) == 18
    assert {name for name, growth in soaked.growth.items() if growth > 2} == set()
    assert 0 < soaked.longest_stop < 1000


def taken(*, paused: float = USUAL, worked: float = USUAL) -> Taken:
    """What a key took."""
    return Taken(waited=USUAL, paused=paused, worked=worked, seen="")


def day(
    *,
    late: float = 1.0,
    slower: float = 1.0,
    slow: float = USUAL,
    stop: float = USUAL,
    wait: float = 0.0,
    machine: float = 0.0,
    memory: float = 1.0,
    problems: tuple[str, ...] = (),
) -> Soaked:
    """A day with a few slow saves and a stop, at work and waiting; the last saves are so many times as long as the first.

    The machine slows, and stands still for a while at the end of the stop.
    """
    usual = [taken()] * 300
    saves = [*usual[:150], *[taken(paused=slow)] * 6, *[taken(worked=USUAL * late * slower)] * 100]
    stops = [
        Stop(ended=1.0, took=took + waited, worked=took, searched=searched, whose="a step")
        for took, waited, searched in ((USUAL, 0.0, 0.0), (stop, wait, stop / 2))
    ]
    return Soaked(
        day=Keys(enters=usual, saves=saves, digits=usual),
        first=Keys(enters=usual[:100], saves=[taken(worked=USUAL * slower)] * 100, digits=usual[:100]),
        held_early=100.0,
        held_late=100.0 * memory,
        stops=stops,
        machine=[(1.0 - machine, 1.0), (2.0, 3.0)],
        problems=problems,
    )


@pytest.mark.parametrize(
    ("soaked", "is_held"),
    [
        (day(), True),
        (day(slower=2.0), True),
        (day(late=GROWTH - 0.01, slow=ANSWER / 1000 - 0.001, stop=STOP / 1000 - 0.001, memory=MEMORY - 0.01), True),
        (day(late=GROWTH + 0.01), False),
        (day(late=GROWTH + 0.01, slower=2.0), False),
        (day(slow=ANSWER / 1000 + 0.001), False),
        (day(stop=STOP / 1000 + 0.001), False),
        (day(wait=STOP / 1000), False),
        (day(wait=STOP / 1000, machine=USUAL + 0.001), True),
        (day(wait=STOP / 1000, machine=USUAL - 0.001), False),
        (day(stop=STOP / 1000 + 0.001, machine=0.5), False),
        (day(memory=MEMORY + 0.01), False),
        (day(problems=("a line is missing",)), False),
    ],
    ids=[
        "quiet",
        "slower",
        "just-below",
        "grown",
        "grown-and-slower",
        "slow",
        "a-stop",
        "a-wait",
        "machine",
        "longer-than-the-machine",
        "at-work",
        "memory",
        "unsound",
    ],
)
def test_one_missed_ceiling_is_told_to_whoever_started_it(soaked: Soaked, *, is_held: bool) -> None:
    assert held(soaked) is is_held


def test_a_witness_tells_when_nothing_went_on(tmp_path: Path) -> None:
    with MachineWitness(tmp_path) as witness:
        os.kill(witness.pid, signal.SIGSTOP)
        began = time.perf_counter()
        time.sleep(0.2)
        ended = time.perf_counter()
        os.kill(witness.pid, signal.SIGCONT)
        time.sleep(0.1)
    assert overlap(began, ended, witness.spans) > 0.15
    assert overlap(began - 60, began - 50, witness.spans) == 0
