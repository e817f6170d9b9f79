"""Every list takes the same words and keys, says how many rows answer, and shows them from the top."""

from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.appliances import ServiceState
from appreg.register.opening.register_file import Register
from appreg.ui.lists.list_pane import FilterInput
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.virtual_rows import HEADER
from appreg.ui.screens.help.help_screen import HelpScreen
from appreg.ui.screens.items.items_screen import ItemsScreen
from appreg.ui.screens.site_page.site_page_screen import SitePageScreen
from appreg.ui.screens.sites.sites_screen import SitesScreen
from tests.ui.list_register import app_on, tagged

NAMED = {
    ":": "colon",
    "<": "less_than_sign",
    ">": "greater_than_sign",
    '"': "quotation_mark",
    " ": "space",
    "-": "minus",
}


async def settled(pilot: Pilot[None]) -> None:
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def typed(pilot: Pilot[None], text: str) -> ListScreen[Any]:
    """Type into the filter of the list on the screen."""
    await pilot.press("slash", *(NAMED.get(each, each) for each in text))
    await settled(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, ListScreen)
    return screen


def rows(screen: ListScreen[Any]) -> list[str]:
    return [screen.table.render_line(y).text for y in range(HEADER, HEADER + screen.table.row_count)]


def count(screen: ListScreen[Any]) -> str:
    return str(screen.query_one(".filter-count", Static).content).partition(" · ")[0]


@pytest.mark.parametrize(
    ("key", "text", "few"),
    [
        ("f8", "fail", "1 of 12 items"),
        ("f8", "outcome:fail state:withdrawn", "1 of 12 items"),
        ("f8", "flat", "6 of 12 items"),
        ("f8", 'site:kiln location:"studio"', "6 of 12 items"),
        ("f8", "site:harbour class:I", "6 of 12 items"),
        ("f8", "state:never site:kiln", None),
        ("f8", "due:<0", None),
        ("f3", "site:kiln", None),
        ("f3", "state:overdue kettle", None),
        ("f3", "kiln class:I due:<400", None),
        ("f4", "outcome:pass", None),
        ("f2", "site:kiln", "1 of 2 sites"),
        ("f2", "items:>0 items:<7", "2 of 2 sites"),
        ("f2", "items:>99", "0 of 2 sites"),
        ("f5", "basis:published", None),
    ],
)
async def test_the_lists_know_sites_rooms_states_and_outcomes(
    built_register: Register, key: str, text: str, few: str | None
) -> None:
    async with app_on(built_register).run_test(size=(140, 40)) as pilot:
        await pilot.press(key)
        await settled(pilot)
        screen = await typed(pilot, text)
        shown, _, total = count(screen).partition(" of ")
        if few is None:
            assert 0 < int(shown) < int(total.split()[0])
        else:
            assert count(screen) == few


@pytest.mark.parametrize("key", ["f2", "f3", "f4", "f8"])
async def test_what_cannot_be_understood_is_said_and_no_row_stands_below_it(built_register: Register, key: str) -> None:
    async with app_on(built_register).run_test(size=(140, 40)) as pilot:
        await pilot.press(key)
        await settled(pilot)
        screen = await typed(pilot, "colour:red")
        assert screen.table.row_count == 0
        assert "There is no key “colour” here" in screen.table.words_when_empty()
        await pilot.press("ctrl+u", *"kiln")
        await settled(pilot)
        assert screen.table.row_count > 0


async def test_a_value_that_cannot_be_is_said_in_the_list(built_register: Register) -> None:
    async with app_on(built_register).run_test(size=(140, 40)) as pilot:
        await pilot.press("f8")
        screen = await typed(pilot, "due:<x")
        assert "“<x” is no number of days" in screen.table.render_line(2).text
        await pilot.press("enter", "ctrl+a", "enter")
        assert pilot.app.screen is screen, "nothing is chosen or opened unseen"


async def test_esc_clears_the_filter_wherever_the_keyboard_is_and_then_leaves(built_register: Register) -> None:
    async with app_on(built_register).run_test(size=(120, 40)) as pilot:
        await pilot.press("enter")
        await settled(pilot)
        page = await typed(pilot, "kettle")
        assert isinstance(page, SitePageScreen)
        await pilot.press("enter")
        await settled(pilot)
        assert page.focused is page.table
        assert count(page) == "1 of 6 items"
        await pilot.press("escape")
        await settled(pilot)
        assert pilot.app.screen is page
        assert (page.query_one(FilterInput).value, page.table.row_count) == ("", 6)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, SitesScreen)


async def test_esc_clears_the_filter_of_a_list_that_is_not_left(built_register: Register) -> None:
    async with app_on(built_register).run_test(size=(120, 40)) as pilot:
        await pilot.press("f8")
        screen = await typed(pilot, "kettle")
        await pilot.press("enter", "escape")
        await settled(pilot)
        assert (pilot.app.screen, count(screen)) == (screen, "12 items")


async def test_after_sorting_the_cursor_stands_at_the_top_and_is_seen(built_register: Register) -> None:
    async with app_on(built_register).run_test(size=(120, 12)) as pilot:
        await pilot.press("f8")
        await settled(pilot)
        screen = pilot.app.screen
        assert isinstance(screen, ItemsScreen)
        await pilot.press("end")
        assert screen.table.scroll_offset.y > 0
        await pilot.press("greater_than_sign")
        await settled(pilot)
        assert (screen.table.cursor, screen.table.scroll_offset.y) == (0, 0)
        assert screen.table.render_line(HEADER).text.startswith("►")
        await pilot.press("end", "equals_sign")
        await settled(pilot)
        assert (screen.table.cursor, screen.table.scroll_offset.y) == (0, 0)


async def test_a_filter_in_force_is_seen_with_its_count_when_one_comes_back(built_register: Register) -> None:
    async with app_on(built_register).run_test(size=(80, 24)) as pilot:
        await pilot.press("f8")
        screen = await typed(pilot, "kettle")
        await pilot.press("enter", "f3", "f8")
        await settled(pilot)
        line = next(each for each in screen._compositor.render_strips() if "filter" in each.text).text
        assert "kettle" in line
        assert "2 of 12 items" in line


async def test_f1_in_the_filter_line_tells_the_keys_with_examples(built_register: Register) -> None:
    async with app_on(built_register).run_test(size=(120, 40)) as pilot:
        await pilot.press("f8", "slash", "f1")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HelpScreen)
        page = "\n".join(line.text for line in pilot.app.screen._compositor.render_strips())
        assert "This field: filter" in page
        assert "state:withdrawn" in page


async def test_withdrawn_items_are_never_due(built_register: Register) -> None:
    item = tagged(built_register, "HR-001")
    assert item.state is ServiceState.IN_SERVICE
    async with app_on(built_register).run_test(size=(120, 40)) as pilot:
        await pilot.press("f8")
        screen = await typed(pilot, "due:<9999")
        assert not any("withdrawn" in row for row in rows(screen))
