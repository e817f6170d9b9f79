"""An older register is told once of the kinds of item that have come since, when the screen opens it."""

from pathlib import Path

import pytest

from appreg.cli.console import Console
from appreg.cli.open_ui import open_on_screen
from appreg.core.records.category_defaults import category_defaults
from appreg.core.records.kept_records import Category
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from appreg.ui.app import AppregApp
from tests.register.older_registers import THIRD, older_register


def test_the_screen_brings_later_categories_to_an_older_register_and_tells_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[list[str]] = []
    monkeypatch.setattr(
        AppregApp, "run", lambda app, **_: told.append([each for each in app._told if "New in" in each])
    )
    monkeypatch.setenv("APPREG_SETTINGS", str(tmp_path / "settings.toml"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    path = older_register(THIRD, tmp_path)
    for _ in range(2):
        open_on_screen(path, Console())
    ((sentence,), again) = told
    assert sentence.startswith("New in the list of categories: Cooker hood, Cord set of two cores, ")
    assert again == []
    with open_register(path) as register:
        assert {each.name for each in category_defaults()} == {each.name for each in register.find(Category)}
        assert list(problems(register)) == []
