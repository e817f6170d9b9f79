"""What is tried on demand keeps nothing where the programs of whoever tries it do."""

import os
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from appreg.tasks.desk.confirm_cautions import cautions_file
from tests.campaign import __main__ as campaign
from tests.campaign.__main__ import TRIALS, main
from tests.campaign.trial import Trial
from tests.own_homes import HOMES


def test_a_trial_has_a_home_of_its_own(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("APPREG_SETTINGS", os.environ["HOME"] + "/settings.toml")
    homes = {name: os.environ[name] for name in (*HOMES, "APPREG_SETTINGS")}
    seen = []

    def run(trial: Trial) -> None:
        seen.extend([trial.name, *(os.environ[name] for name in HOMES), str(cautions_file())])

    monkeypatch.setitem(TRIALS, "nothing", "nothing at all")
    monkeypatch.setitem(sys.modules, "tests.campaign.try_nothing", SimpleNamespace(run=run))
    monkeypatch.setattr(sys, "argv", ["campaign", "nothing", "--seconds", "1"])
    assert main() == 0
    assert seen[0] == "nothing"
    assert not any(told.startswith(home) for told in seen[1:] for home in homes.values())
    assert {name: os.environ[name] for name in homes} == homes


def test_shares_side_by_side_are_all_of_the_trials_each_for_its_part_of_the_time(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    tried: list[str] = []

    def run(name: str, _args: object, seconds: float) -> Trial:
        assert seconds == pytest.approx(120 / len(TRIALS))
        tried.append(name)
        return Trial(name=name, seed=1, folder=tmp_path, seconds=seconds)

    monkeypatch.setattr(campaign, "_run", run)
    for share in ("1/3", "2/3", "3/3"):
        monkeypatch.setattr(sys, "argv", ["campaign", "--seconds", "120", "--share", share])
        assert main() == 0
    assert sorted(tried) == sorted(TRIALS)
