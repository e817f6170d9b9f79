"""Short runs of the campaign's trials of words, files and places; the long ones are run on demand."""

from importlib import import_module
from pathlib import Path

import pytest

from tests.campaign.trial import Trial


@pytest.mark.parametrize(("name", "rounds"), [("words", 300), ("input_files", 400), ("output_paths", 60)])
def test_whatever_is_typed_read_or_named_is_answered_in_a_sentence(name: str, rounds: int, tmp_path: Path) -> None:
    trial = Trial(name=name, seed=20_261_124, folder=tmp_path, seconds=60, most=rounds)
    import_module(f"tests.campaign.try_{name}").run(trial)
    assert trial.faults == []
    assert trial.rounds > rounds // 2
    assert len(trial.counts) > 1
