"""Tables that come into the watched folder are told on the screen, and opened where a person chooses one."""

from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from appreg.ui.screens.asking.pick_screen import PickScreen
from appreg.ui.screens.imports.import_mapping_screen import ImportMappingScreen
from tests.ui.list_register import TODAY, WHO

TABLE = "Asset tag,Date,Earth (Ω),Insulation (MΩ)\nHR-101,2026-11-20,0.08,299\n"


@pytest.fixture(name="folder")
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("APPREG_SETTINGS", str(tmp_path / "settings.toml"))
    folder = tmp_path / "downloads"
    folder.mkdir()
    return folder


async def look(pilot: Pilot[None], app: AppregApp, times: int = 2) -> None:
    for _ in range(times):
        app.downloads.look()
        await app.workers.wait_for_complete()
        await pilot.pause()


def said(app: AppregApp) -> str:
    return " | ".join(each.message for each in app._notifications)


async def test_a_new_table_is_told_once_and_opens_with_its_columns(built_register: Register, folder: Path) -> None:
    app = AppregApp(built_register, today=TODAY, who=WHO)
    async with app.run_test(size=(100, 30)) as pilot:
        app.action_downloads()
        await pilot.pause()
        assert "No folder is watched: F9, “downloads”, names one." in said(app)
        app.settings = replace(app.settings, downloads=str(folder))
        (folder / "[red].csv").write_text(TABLE, encoding="utf-8")
        (folder / "zeros.csv").write_bytes(b"\0" * 500)
        await look(pilot, app)
        assert "[red].csv is new: results" in said(app)
        assert said(app).count("zeros.csv") == 1
        (folder / "copy.csv").write_text(TABLE, encoding="utf-8")
        await look(pilot, app, 3)
        assert said(app).count("is new") == 1
        assert "copy.csv is known: the same as [red].csv" in said(app)

        app.action_downloads()
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        await pilot.press(*"new", "enter")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(app.screen, ImportMappingScreen)


async def test_a_folder_that_is_not_there_is_said_once(built_register: Register, folder: Path) -> None:
    app = AppregApp(built_register, today=TODAY, who=WHO)
    async with app.run_test(size=(80, 24)) as pilot:
        app.settings = replace(app.settings, downloads=str(folder / "none"))
        await look(pilot, app, 3)
        assert said(app).count("cannot be read") == 1
        app.action_downloads()
        await pilot.pause()
        assert "No table has come into" in said(app)
