"""A minute of the long day, and what the long day makes of a missed ceiling."""

from pathlib import Path

import pytest

from tests.soak.__main__ import ANSWER, GROWTH, MEMORY, STOP, held
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
    memory: float = 1.0,
    problems: tuple[str, ...] = (),
) -> Soaked:
    """A day with a few slow saves and a stop, the last saves so many times as long as the first, on a machine that slows."""
    usual = [taken()] * 300
    saves = [*usual[:150], *[taken(paused=slow)] * 6, *[taken(worked=USUAL * late * slower)] * 100]
    stops = [
        Stop(ended=1.0, took=took, worked=took, searched=searched, whose="a step")
        for took, searched in ((USUAL, 0.0), (stop, stop / 2))
    ]
    return Soaked(
        day=Keys(enters=usual, saves=saves, digits=usual),
        first=Keys(enters=usual[:100], saves=[taken(worked=USUAL * slower)] * 100, digits=usual[:100]),
        held_early=100.0,
        held_late=100.0 * memory,
        stops=stops,
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
        (day(memory=MEMORY + 0.01), False),
        (day(problems=("a line is missing",)), False),
    ],
    ids=["quiet", "slower", "just-below", "grown", "grown-and-slower", "slow", "a-stop", "memory", "unsound"],
)
def test_one_missed_ceiling_is_told_to_whoever_started_it(soaked: Soaked, *, is_held: bool) -> None:
    assert held(soaked) is is_held
