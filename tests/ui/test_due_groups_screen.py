"""Groups, blocked items and user checks, by keys from the Due screen."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.screen import Screen

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.register.opening.register_file import Register
from appreg.tasks.planning.group_due import DueGrouping
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.before_use.before_use_screen import BeforeUseScreen
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.due_groups.due_groups_screen import DueGroupsScreen
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.screens.user_checks.user_checks_screen import UserChecksScreen
from appreg.ui.shell.place_line import PlaceLine
from tests.tasks.worked_site import worked_site
from tests.ui.list_register import app_on, build_register


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "groups.appreg")


@pytest.fixture
def construction(tmp_path: Path) -> Iterator[Register]:
    """A construction site with two kettles never tested there."""
    with worked_site(tmp_path, environment="construction-230") as here:
        here.kettle()
        here.kettle()
        yield here.register


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


def rows(screen: Screen[Any]) -> list[str]:
    table = screen.query_one(VirtualTable)
    return [table.render_line(y).text[2:].strip() for y in range(1, min(table.row_count, table.size.height - 1) + 1)]


async def test_groups_step_through_them_all_and_one_shows_its_lines(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await press(pilot, "f3")
        due = pilot.app.screen
        assert isinstance(due, DueScreen)
        everything = rows(due)
        await press(pilot, "v")
        groups = pilot.app.screen
        assert isinstance(groups, DueGroupsScreen)
        titles = []
        for _ in DueGrouping:
            titles.append([row.split("  ")[0].strip() for row in rows(groups)])
            await press(pilot, "v")
        assert titles == [
            ["Harbour Row 14", "Kiln Lane pottery"],
            ["Harbour Row 14, Flat 2", "Kiln Lane pottery, Studio"],
            ["low risk: offices, shops, dwellings and the l…", "used by the public, hotels"],
            ["no category"],
            ["nobody is named"],
            [
                "2026-02 February",
                "2026-05 May",
                "2026-11 November",
                "2027-01 January",
                "2027-10 October",
                "without a date",
            ],
        ]
        await press(pilot, "down", "enter")
        assert pilot.app.screen is due
        assert rows(due)
        assert all("KL-" in row for row in rows(due))
        assert "Kiln Lane pottery" in due.query_one(PlaceLine).left
        await press(pilot, "v")
        assert rows(due) == everything


async def test_leaving_the_groups_shows_all_lines(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "f3")
        everything = rows(pilot.app.screen)
        await press(pilot, "v", "escape")
        assert rows(pilot.app.screen) == everything


async def test_blocked_items_come_before_user_checks_and_open_their_page(construction: Register) -> None:
    async with app_on(construction).run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await press(pilot, "f3", "u")
        screen = pilot.app.screen
        assert isinstance(screen, BeforeUseScreen)
        first, second, third = rows(screen)
        assert first.startswith("blocked")
        assert "before first use o" in first
        assert "HR-002" in second
        assert third.startswith("user check")
        assert "every shift, daily" in third
        assert screen.query_one(PlaceLine).right == "2 blocked"
        await press(pilot, "home", "enter")
        assert isinstance(pilot.app.screen, ItemScreen)


async def test_user_checks_open_as_a_list_of_the_room_where_a_fault_is_noted_in_one_step(
    construction: Register,
) -> None:
    async with app_on(construction).run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        await press(pilot, "f3", "u", "end", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, UserChecksScreen)
        before = rows(screen)
        assert before
        assert all("every shift, dai" in row for row in before)
        await press(pilot, "x", *"cord", "tab", *"Ida", "ctrl+s")
        assert pilot.app.screen is screen
        assert len(rows(screen)) == len(before) - 1
        (item,) = construction.find(Appliance, state=ServiceState.WITHDRAWN)
        assert item.notes == "withdrawn: fault found in use by Ida on 24 Nov 2026: cord"
