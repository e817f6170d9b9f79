"""How the settings look at two sizes, and in the plain themes."""

from typing import Any

import pytest
from textual.pilot import Pilot

from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings
from appreg.ui.app import AppregApp
from tests.ui.list_register import TODAY, WHO
from tests.ui.snapshot_sizes import SIZES

CHANGED = Settings(due_within_days=60, who="Ada Brook", keys={"app.turn_theme": "f10", "list.move(1)": "j"})


async def settle(pilot: Pilot[None], *keys: str) -> None:
    await pilot.pause()
    await pilot.press(*keys)
    await pilot.app.workers.wait_for_complete()
    for _ in range(3):
        await pilot.pause()


def app_with(register: Register, settings: Settings) -> AppregApp:
    return AppregApp(register, today=TODAY, who=WHO, settings=settings)


@SIZES
def test_the_settings_look_as_they_should(snap_compare: Any, built_register: Register, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f9", "j", "j")

    assert snap_compare(app_with(built_register, CHANGED), terminal_size=size, run_before=keys)


@SIZES
def test_asking_for_a_key_looks_as_it_should(
    snap_compare: Any, built_register: Register, size: tuple[int, int]
) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "f9", "end", "enter", "slash", *"repeat", "enter", "enter", "ctrl+z")

    assert snap_compare(app_with(built_register, CHANGED), terminal_size=size, run_before=keys)


@pytest.mark.parametrize("theme", ["dark", "light"])
def test_sites_in_plain_colours_look_as_they_should(snap_compare: Any, built_register: Register, theme: str) -> None:
    app = app_with(built_register, Settings(theme=theme, plain_colours=True))
    assert snap_compare(app, terminal_size=(80, 24), run_before=settle)
