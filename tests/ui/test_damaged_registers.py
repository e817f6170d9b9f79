"""Screens over a register with a damaged cell: none ends, the damaged item is marked, and the rest works."""

import random
from pathlib import Path

import pytest

from appreg.register.opening.register_file import open_register
from appreg.ui.screens.items.items_screen import ItemsScreen
from tests.damaged_registers import LONG, VALUES, Cell, build_whole, cells_of, damaged_copy, open_every_screen
from tests.postgres_server import of_a_file
from tests.ui.list_register import app_on
from tests.ui.test_shell_screens import screen_text

pytestmark = of_a_file("a database takes no cell of another kind, whoever writes it")
_SAMPLE = 2
"""Walks through all screens here; the campaign walks for as long as it is given."""


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build_whole(tmp_path_factory.mktemp("whole") / "whole.sqlite")


async def test_every_screen_opens_on_a_damaged_register(whole: Path, tmp_path: Path) -> None:
    chance = random.Random(5)
    done = 0
    for number, cell in enumerate(chance.sample(cells_of(whole), 2 * _SAMPLE)):
        copy = tmp_path / f"{number}.sqlite"
        value = chance.choice([each for each in VALUES if each != LONG])
        if done < _SAMPLE and damaged_copy(whole, copy, cell, value):
            done += 1
            await open_every_screen(copy)
    assert done == _SAMPLE


async def test_a_damaged_item_is_marked_in_the_list_and_counted_on_every_screen(whole: Path, tmp_path: Path) -> None:
    copy = tmp_path / "d.sqlite"
    assert damaged_copy(whole, copy, Cell("appliance", 2, "next_test"), "2026-13-45")
    with open_register(copy) as register:
        app = app_on(register)
        async with app.run_test(size=(120, 30), notifications=True) as pilot:
            await pilot.pause()
            await pilot.press("escape")  # the benches left half-filled
            await pilot.pause()
            assert "! 1 damaged: appreg verify" in screen_text(app).splitlines()[0]
            assert "damaged 1" in screen_text(app)
            await pilot.press("f8")
            await pilot.pause()
            assert isinstance(app.screen, ItemsScreen)
            await app.workers.wait_for_complete()
            await pilot.pause()
            (row,) = [line for line in screen_text(app).splitlines() if line.strip().startswith("KL-002")]
            assert "damaged" in row
            assert "pass" not in row
            assert "fail" not in row
            sound = [line for line in screen_text(app).splitlines() if "KL-003" in line]
            assert sound
            await pilot.press("f3")
            await pilot.pause()
            assert "! 1 damaged: appreg verify" in screen_text(app).splitlines()[0]
