"""How the columns of a table and its planned rows look at two sizes."""

from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from appreg.register.opening.register_file import Register
from tests.ui.list_register import app_on
from tests.ui.snapshot_sizes import SIZES
from tests.ui.test_import_screens import RESULTS, open_file, press

HARD = (
    "20/11/2026;HR-004;0,1;OL;ok;ok;ok;pass;Ada Brook\n"
    "20/11/2026;[red]99 =1+1;0,1;five;ok;ok;ok;pass;Łódź – Ελλάδα\n"
    "20/11/2026;HR-099;0,1;5;ok;ok;ok;pass;Ada Brook\n"
)


@pytest.fixture(autouse=True)
def settings_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No mapping is kept."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))


def table_in(folder: Path) -> Path:
    file = folder / "results.csv"
    file.write_text(RESULTS + HARD, "utf-8")
    return file


@SIZES
def test_the_columns_look_as_they_should(
    snap_compare: Any, built_register: Register, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await press(pilot)
        await open_file(pilot, table_in(tmp_path))
        await press(pilot, "down", "down", "down")

    assert snap_compare(app_on(built_register), terminal_size=size, run_before=keys)


@SIZES
def test_the_planned_rows_look_as_they_should(
    snap_compare: Any, built_register: Register, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await press(pilot)
        await open_file(pilot, table_in(tmp_path))
        await press(pilot, "p")
        await press(pilot)
        await press(pilot, "down", "down", "down", "down")

    assert snap_compare(app_on(built_register), terminal_size=size, run_before=keys)
