"""How the screens of the shell look at two sizes."""

from collections.abc import Callable
from typing import Any

import pytest
from textual.pilot import Pilot

from appreg.ui.app import AppregApp
from tests.ui.snapshot_sizes import SIZES

Apps = Callable[[], AppregApp]
SCENES = {
    "sites": (),
    "site": ("down", "enter"),
    "visits": ("down", "y"),
    "walk": ("down", "a", *"zit", "enter"),
    "new-site": ("n", *"Mill", "tab"),
    "item-form": ("down", "enter", "n"),
    "help": ("f1",),
    "commands": ("ctrl+p",),
    "find": ("ctrl+g", *"kiln"),
}


async def settle(pilot: Pilot[None], *keys: str) -> None:
    await pilot.pause()
    for key in keys:
        await pilot.press(key)
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@SIZES
@pytest.mark.parametrize("scene", SCENES)
def test_it_looks_as_it_should(snap_compare: Any, app_factory: Apps, scene: str, size: tuple[int, int]) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, *SCENES[scene])

    assert snap_compare(app_factory(), terminal_size=size, run_before=keys)


@SIZES
@pytest.mark.usefixtures("cautions_unread")
def test_the_cautions_look_as_they_should(snap_compare: Any, app_factory: Apps, size: tuple[int, int]) -> None:
    assert snap_compare(app_factory(), terminal_size=size, run_before=settle)


def test_the_light_theme_looks_as_it_should(snap_compare: Any, app_factory: Apps) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "ctrl+p", *"light", "enter")

    assert snap_compare(app_factory(), terminal_size=(80, 24), run_before=keys)
