"""A key that acts on a row says why it does nothing where there is none."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.register.opening.register_file import open_register
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.ui.app import AppregApp
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.virtual_table import VirtualTable
from tests.postgres_server import place_for
from tests.ui.list_register import TODAY, app_on

WAYS = {
    "sites": ("f2",),
    "due": ("f3",),
    "label_tray": ("f4",),
    "plan": ("f6",),
    "evidence": ("f7",),
    "items": ("f8",),
    "copies": (),
    "printed": (),
    "before_use": ("f3", "u"),
}


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


@pytest.fixture(name="app")
def _app(tmp_path: Path) -> AppregApp:
    return app_on(open_register(place_for(tmp_path / "empty.appreg")))


async def opened(pilot: Pilot[None], app: AppregApp, name: str) -> None:
    if name in {"copies", "printed"}:
        await app.open_screen(name)
        await press(pilot)
    else:
        await press(pilot, *WAYS[name])


@pytest.mark.parametrize("name", WAYS)
async def test_every_key_that_needs_a_row_says_why_nothing_happens(app: AppregApp, name: str) -> None:
    async with app.run_test(size=(100, 24)) as pilot:
        await opened(pilot, app, name)
        screen = app.screen
        assert isinstance(screen, ListScreen)
        assert screen.query_one(VirtualTable).row_count == 0
        for command in screen.open_commands():
            if command.at_cursor:
                app.clear_notifications()
                await press(pilot, command.keys[0])
                assert app._notifications, (name, command.id)
                assert app.screen is screen
        app.clear_notifications()
        await press(pilot, "enter")
        assert app._notifications


async def test_in_a_choice_the_list_says_what_it_leaves_out(app: AppregApp) -> None:
    register = app.register
    client = add_client(register, "test", name="Quay Lets")
    add_site(register, "test", client=client.uid, name="Harbour Row 14", prefix="HR", environment="low-risk")
    async with app.run_test(size=(100, 24)) as pilot:
        await press(pilot, "f3")
        assert "nothing is due in this time" in app.screen.query_one(VirtualTable).words_when_empty()
        await press(pilot, "f8", "s", *"zz", "enter")
        assert any("no row holds “zz”" in each.message for each in app._notifications)
        assert app.screen.query_one(VirtualTable).row_count == 0


async def test_where_the_filter_leaves_every_row_out_no_list_says_that_there_is_none(app: AppregApp) -> None:
    register = app.register
    client = add_client(register, "test", name="Quay Lets")
    site = add_site(register, "test", client=client.uid, name="Harbour Row 14", prefix="HR", environment="low-risk")
    person = add_person(register, "test", name="Wren A", initials="WA")
    start_visit(register, "test", site=site.uid, on=TODAY, person=person.uid)
    async with app.run_test(size=(100, 24)) as pilot:
        await press(pilot, "f2")
        for way, key in (("slash", "p"), ("y", "p")):
            await press(pilot, way, *(("slash",) if way == "y" else ()), *"zz", "enter")
            app.clear_notifications()
            await press(pilot, key)
            assert [each.message for each in app._notifications] == [
                "No row is here to act on: no row holds “zz”: esc shows all again."
            ]
            await press(pilot, "escape")


async def test_a_key_that_leads_elsewhere_says_that_it_waits_while_something_is_to_be_answered(app: AppregApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "n")
        asked = app.screen
        for key, label in (("f3", "Due"), ("ctrl+p", "commands")):
            await press(pilot, key)
            assert app.screen is asked
            assert any(
                note.message == f"“{label}” waits until this is answered or left." for note in app._notifications
            )
        await press(pilot, "f1")
        assert "Everywhere, once this is answered or left" in {
            str(section.render()) for section in app.screen.query(".section")
        }
