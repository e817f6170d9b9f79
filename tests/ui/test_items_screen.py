from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.core.records.appliances import ServiceState
from appreg.register.opening.register_file import Register
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.items.items_screen import ItemsScreen
from appreg.ui.shell.place_line import PlaceLine
from tests.ui.list_register import app_on, build_register, tagged


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "items.appreg")


async def open_items(pilot: Pilot[None]) -> ItemsScreen:
    await pilot.pause()
    await pilot.press("f8")
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, ItemsScreen)
    return screen


async def settled(pilot: Pilot[None]) -> None:
    """Wait for the thread that arranges the rows."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


def tags(screen: ItemsScreen) -> list[str]:
    drawn = [screen.table.render_line(y).text for y in range(1, screen.table.row_count + 1)]
    return [line.replace("►", " ").replace("■", " ").split()[0] for line in drawn]


async def test_every_item_is_listed_by_tag(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_items(pilot)
        assert tags(screen) == [f"{site}-{n:03}" for site in ("HR", "KL") for n in range(1, 7)]


async def test_typing_finds_items_by_the_start_of_words_or_any_part(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_items(pilot)
        await pilot.press("slash", *"kett")
        await settled(pilot)
        assert tags(screen) == ["HR-002", "KL-002"]
        await pilot.press(*["backspace"] * 4, *"ettl")
        await settled(pilot)
        assert tags(screen) == ["HR-002", "KL-002"]
        await pilot.press("escape")
        await settled(pilot)
        assert len(tags(screen)) == 12


async def test_items_sort_by_any_column_and_the_filter_keeps_the_order(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_items(pilot)
        screen.table.sort("name", descending=True)
        await settled(pilot)
        assert tags(screen)[:2] == ["HR-004", "KL-004"]
        screen.table.sort("tag", descending=True)
        await settled(pilot)
        await pilot.press("slash", *"kett")
        await settled(pilot)
        assert tags(screen) == ["KL-002", "HR-002"]


async def test_what_is_chosen_is_acted_on_and_the_cursor_stays(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_items(pilot)
        await pilot.press("space", "down", "space")
        key = screen.table.cursor_key
        await pilot.press("m")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await settled(pilot)
        missing = [tag for tag in tags(screen) if tagged(register, tag).state is ServiceState.MISSING]
        assert missing == ["HR-001", "HR-003"]
        assert screen.table.cursor_key == key


async def test_enter_opens_the_item_under_the_cursor(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await open_items(pilot)
        await pilot.press("end", "enter")
        await pilot.pause()
        assert getattr(pilot.app.screen, "_appliance", "") == tagged(register, "KL-006").uid


async def test_eighty_columns_keep_the_room_and_for_one_site_let_its_name_go(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_items(pilot)
        assert {"site", "location"} <= shown_columns(screen.table)
        await pilot.press("s", "down", "enter")
        await settled(pilot)
        assert "Harbour Row" in screen.query_one(PlaceLine).left
        assert "location" in shown_columns(screen.table)
        assert "site" not in shown_columns(screen.table)
        assert "Flat 2" in screen.table.render_line(1).text
        assert "next_test" in shown_columns(screen.table)


async def test_the_due_list_of_one_site_says_the_room_and_not_the_site(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await pilot.press("f3")
        await settled(pilot)
        await pilot.press("s", "down", "down", "enter")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, DueScreen)
        assert "location" in shown_columns(screen.table)
        assert "site" not in shown_columns(screen.table)


def shown_columns(table: VirtualTable) -> set[str]:
    return {placed.column.key for placed in table._placed}
