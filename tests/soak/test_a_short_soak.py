"""A minute of the long day, and what the long day makes of a missed ceiling."""

from pathlib import Path

import pytest

from tests.soak.__main__ import GROWTH, MEMORY, PAUSE, held
from tests.soak.soaked_program import Taken
from tests.soak.soaking import Soaked, soak

USUAL = 0.02


def test_nothing_grows_while_items_are_walked_round_and_inspected(tmp_path: Path) -> None:
    soaked = soak(tmp_path, items=20, inspections=18)
    assert soaked.problems == ()
    assert len(soaked.saves) == 18
    assert {name for name, growth in soaked.growth.items() if growth > 2} == set()


def taken(*, paused: float = USUAL, worked: float = USUAL) -> Taken:
    """What a key took."""
    return Taken(waited=USUAL, paused=paused, worked=worked, seen="")


def day(*, late: float = 1.0, worst: float = USUAL, memory: float = 1.0, problems: tuple[str, ...] = ()) -> Soaked:
    """A day of which one save took the longest, and the last saves so many times as long as the first."""
    usual = [taken()] * 300
    saves = [*usual[:150], taken(paused=worst), *[taken(worked=USUAL * late)] * 150]
    return Soaked(
        enters=usual, saves=saves, digits=usual, held_early=100.0, held_late=100.0 * memory, problems=problems
    )


@pytest.mark.parametrize(
    ("soaked", "is_held"),
    [
        (day(), True),
        (day(late=GROWTH - 0.01, worst=PAUSE / 1000 - 0.001, memory=MEMORY - 0.01), True),
        (day(late=GROWTH + 0.01), False),
        (day(worst=PAUSE / 1000 + 0.001), False),
        (day(memory=MEMORY + 0.01), False),
        (day(problems=("a line is missing",)), False),
    ],
    ids=["quiet", "just-below", "grown", "a-pause", "memory", "unsound"],
)
def test_one_missed_ceiling_is_told_to_whoever_started_it(soaked: Soaked, *, is_held: bool) -> None:
    assert held(soaked) is is_held
