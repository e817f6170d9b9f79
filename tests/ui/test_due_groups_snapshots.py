from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from appreg.register.opening.register_file import Register
from tests.tasks.worked_site import worked_site
from tests.ui.list_register import app_on, build_register
from tests.ui.snapshot_sizes import SIZES


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "shots.appreg")


async def settle(pilot: Pilot[None], *keys: str) -> None:
    await pilot.pause()
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


@SIZES
def test_the_groups_look_as_they_should(snap_compare: Any, register: Register, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f3", "v", "v", "down")

    assert snap_compare(app_on(register), terminal_size=size, run_before=keys)


@SIZES
def test_what_comes_before_use_looks_as_it_should(snap_compare: Any, tmp_path: Path, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f3", "u")

    with worked_site(tmp_path, environment="construction-230") as here:
        here.kettle()
        assert snap_compare(app_on(here.register), terminal_size=size, run_before=keys)


@SIZES
def test_the_user_checks_of_a_room_look_as_they_should(
    snap_compare: Any, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f3", "u", "end", "enter")

    with worked_site(tmp_path, environment="construction-230") as here:
        here.kettle()
        assert snap_compare(app_on(here.register), terminal_size=size, run_before=keys)
