"""Two screens are open on one register: each shows what the other saves within two seconds, and the cursor stays."""

import time

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.records.kept_records import Appliance
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from appreg.ui.screens.items.items_screen import ItemsScreen
from tests.ui.list_register import TODAY, WHO, build_register, tagged

_PATIENCE = 2.0


@pytest.fixture(name="register")
def _register(place: Place) -> Register:
    return build_register(place)


def _save(register: Register, tag: str, name: str) -> None:
    with register.reopen() as other, other.change("Ben", "renamed") as change:
        change.put(replace(tagged(other, tag), name=name))


async def _seen_within(pilot: Pilot[None], word: str) -> float:
    """Seconds until a word stands in the list."""
    screen = pilot.app.screen
    assert isinstance(screen, ItemsScreen)
    began = time.monotonic()
    while time.monotonic() - began < 10:
        await pilot.pause(0.05)
        table = screen.table
        if any(word in str(cell) for row in table._view.rows(0, len(table._view)) for cell in row):
            return time.monotonic() - began
    raise AssertionError(word)


async def test_what_another_desk_saves_is_shown_and_the_cursor_stays(register: Register) -> None:
    app = AppregApp(register, today=lambda: TODAY, who=WHO)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("f8")
        await pilot.pause(1.5)
        screen = app.screen
        assert isinstance(screen, ItemsScreen)
        await pilot.press("down", "down", "down")
        await pilot.pause()
        under_cursor = screen.table.cursor_key
        _save(register, "HR-002", "Samovar")
        assert await _seen_within(pilot, "Samovar") < _PATIENCE
        _save(register, "HR-001", "Lantern")
        assert await _seen_within(pilot, "Lantern") < _PATIENCE
        assert screen.table.cursor_key == under_cursor
        assert len(register.find(Appliance, name="Samovar")) == 1


def test_what_this_screen_saves_is_nobody_elses(register: Register) -> None:
    assert not register.others_saved()
    with register.change("Ada") as change:
        change.put(replace(tagged(register, "HR-002"), name="Samovar"))
    assert not register.others_saved()
    _save(register, "HR-001", "Lantern")
    ended = time.monotonic() + _PATIENCE
    while not register.others_saved():
        assert time.monotonic() < ended
        time.sleep(0.02)
    assert not register.others_saved()
