"""The demo: built, told, and opened on the screen."""

from pathlib import Path
from typing import Any

import pytest

from appreg.core.records.kept_records import Category
from appreg.core.records.work_records import ItemMovement
from appreg.register.opening.register_file import open_register
from appreg.ui.app import AppregApp
from tests.cli.conftest import Call
from tests.cli.json_forms import checked


def test_the_demo_is_built_and_told_without_the_screen(tmp_path: Path, call: Call) -> None:
    path = tmp_path / "d.sqlite"
    answer = call("demo", "--no-ui", "--register", path)
    assert answer.code == 0
    assert answer.out.startswith(f"The demo register is {path}\n3 sites · ")
    assert call("--register", path, "verify").code == 0
    assert call("--register", path, "due", "--on", "2026-11-24", "--json").code == 0


def test_without_a_file_it_lives_in_the_data_folder_and_is_made_anew(
    tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("APPREG_REGISTER", str(tmp_path / "mine.sqlite"))
    for _ in range(2):
        answer = call("demo", "--no-ui", "--json")
        assert answer.code == 0
    assert checked(answer) == "appreg.demo"
    summary: Any = answer.json
    assert summary["sites"] == 3
    assert Path(summary["register"]) == tmp_path / "appreg" / "demo.sqlite"
    assert not (tmp_path / "mine.sqlite").exists(), "a register of one's own is never the demo's place"


def test_the_first_start_opens_a_register_with_the_general_categories(
    tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[Path] = []

    def run(app: AppregApp) -> None:
        opened.append(app.register.path)

    monkeypatch.setattr(AppregApp, "run", run)
    path = tmp_path / "new" / "r.sqlite"
    assert call("--register", path).code == 0
    assert opened == [path]
    with open_register(path, create=False) as register:
        assert len(register.find(Category)) >= 60
    assert call("demo", "--register", tmp_path / "d.sqlite").code == 0
    assert opened[1] == tmp_path / "d.sqlite"


def test_a_demo_that_somebody_works_in_is_opened_as_it_is_and_never_built_anew(
    tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    told: list[str] = []
    monkeypatch.setattr(AppregApp, "run", lambda app: told.extend(app._told))
    path = tmp_path / "appreg" / "demo.sqlite"
    assert call("demo").code == 0
    assert told == []
    assert call("--register", path, "move", "HR-001", "issued").code == 0
    for words in (("demo",), ("demo", "--register", path)):
        assert call(*words).code == 0
        assert "holds what somebody entered" in told.pop()
        answer = call(*words, "--no-ui")
        assert (answer.code, answer.out) == (2, "")
        assert "name a new file with --register" in answer.err
    with open_register(path, create=False) as register:
        assert len(register.find(ItemMovement)) == 1
