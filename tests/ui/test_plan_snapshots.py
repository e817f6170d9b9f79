from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from appreg.register.opening.register_file import Register
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
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()


@SIZES
def test_a_plan_with_a_moved_visit_looks_as_it_should(
    snap_compare: Any, register: Register, size: tuple[int, int]
) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f6", "down", "down", "shift+right")

    assert snap_compare(app_on(register), terminal_size=size, run_before=keys)
