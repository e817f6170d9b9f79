"""The demo: built, told, and opened on the screen."""

from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Call


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
    summary: Any = answer.json
    assert summary["sites"] == 3
    assert Path(summary["register"]) == tmp_path / "appreg" / "demo.sqlite"
    assert not (tmp_path / "mine.sqlite").exists(), "a register of one's own is never the demo's place"
