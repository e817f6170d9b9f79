"""Who is journalled: $APPREG_WHO, else the name in the settings, else the one this machine knows."""

from pathlib import Path

import pytest

from appreg.cli.operator_name import operator_name
from appreg.core.records.kept_records import LabelKind, QueuedLabel
from appreg.register.history.journal import history_of
from appreg.tasks.desk.name_operator import machine_name
from tests.cli.conftest import Call
from tests.tasks.worked_site import WorkedSite


@pytest.fixture(name="settings", autouse=True)
def _settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    file = tmp_path / "settings.toml"
    monkeypatch.setenv("APPREG_SETTINGS", str(file))
    monkeypatch.delenv("APPREG_WHO", raising=False)
    return file


def test_the_machine_knows_somebody_where_nothing_is_set() -> None:
    assert operator_name() == machine_name()


def test_the_settings_name_who_is_working_and_the_variable_goes_before(
    settings: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.write_text('who = "Ada Brook"\n')
    assert operator_name() == "Ada Brook"
    monkeypatch.setenv("APPREG_WHO", " Cy ")
    assert operator_name() == "Cy"


def test_a_bad_file_stops_a_command_that_would_journal_a_name(
    call: Call, row: WorkedSite, settings: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("APPREG_WHO")
    settings.write_text("\nwho = 7\n")
    answer = call("print", "labels", "-o", tmp_path / "labels.pdf")
    assert answer.code == 2
    assert "settings.toml, line 2, who: " in answer.err
    assert not (tmp_path / "labels.pdf").exists()
    settings.write_text('who = "Ada Brook"\n')
    queued = next(each for each in row.register.find(QueuedLabel) if each.kind is LabelKind.DO_NOT_USE)
    assert call("print", "labels", "--printed", "-o", tmp_path / "labels.pdf").code == 0
    assert history_of(row.register, queued.uid)[-1].who == "Ada Brook"
