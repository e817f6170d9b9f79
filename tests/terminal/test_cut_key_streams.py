"""Streams of keys, cut at random as pastes and slow lines cut them, end in the register of slow typing."""

from pathlib import Path
from random import Random

from tests.campaign.try_bunched_keys import faults_of


def test_cut_at_random_they_come_to_the_same_records(tmp_path: Path) -> None:
    assert faults_of(tmp_path / "streams", Random(11), 8) == []
