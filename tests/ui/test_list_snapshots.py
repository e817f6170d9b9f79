from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from tests.ui.list_register import app_on, build_register, tagged
from tests.ui.snapshot_sizes import SIZES


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "shots.appreg")


async def settle(pilot: Pilot[None], *keys: str) -> None:
    await pilot.pause()
    await pilot.press(*keys)
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@SIZES
def test_due_looks_as_it_should(snap_compare: Any, register: Register, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f3", "down", "space", "space")

    assert snap_compare(app_on(register), terminal_size=size, run_before=keys)


@SIZES
def test_the_label_tray_looks_as_it_should(snap_compare: Any, register: Register, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f4", "d", "right_square_bracket", "right_square_bracket", "down")

    assert snap_compare(app_on(register), terminal_size=size, run_before=keys)


@SIZES
def test_the_rule_book_looks_as_it_should(snap_compare: Any, register: Register, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f5", "down", "down")

    assert snap_compare(app_on(register), terminal_size=size, run_before=keys)


@SIZES
def test_the_list_of_items_looks_as_it_should(snap_compare: Any, register: Register, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f8", "down")

    assert snap_compare(app_on(register), terminal_size=size, run_before=keys)


@SIZES
def test_the_page_of_a_failed_item_looks_as_it_should(
    snap_compare: Any, register: Register, size: tuple[int, int]
) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await pilot.pause()
        assert isinstance(pilot.app, AppregApp)
        await pilot.app.open_screen("item", appliance=tagged(register, "KL-002").uid)
        await settle(pilot, "tab", "down")

    assert snap_compare(app_on(register), terminal_size=size, run_before=keys)
