"""A quarter of an hour of the long day: the last items take no longer than the first, and nothing is left behind."""

from pathlib import Path

from tests.soak.soaking import soak


def test_nothing_grows_while_items_are_walked_round_and_inspected(tmp_path: Path) -> None:
    soaked = soak(tmp_path, items=20, inspections=18)
    assert soaked.problems == ()
    assert len(soaked.saves) == 18
    assert {name for name, growth in soaked.growth.items() if growth > 2} == set()
