"""Intervals set by hand and movements, by keys on the page of an item."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.kept_records import Appliance
from appreg.core.records.work_records import IntervalOverride, ItemMovement, Movement, OverrideScope
from appreg.ui.app import AppregApp
from appreg.ui.screens.item.item_screen import ItemScreen
from tests.tasks.worked_site import WorkedSite, combined, worked_site
from tests.ui.list_register import app_on


@pytest.fixture
def hire(tmp_path: Path) -> Iterator[WorkedSite]:
    """A hire store with a kettle that passed."""
    with worked_site(tmp_path, environment="hire") as here:
        here.record(here.kettle(), combined())
        yield here


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


async def open_item(pilot: Pilot[None], item: Appliance) -> ItemScreen:
    await pilot.pause()
    assert isinstance(pilot.app, AppregApp)
    await pilot.app.open_screen("item", appliance=item.uid)
    await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, ItemScreen)
    return screen


def said(screen: ItemScreen) -> str:
    return str(screen.query_one("#item", Static).render())


async def test_an_interval_is_set_with_its_reason_shown_and_taken_back(hire: WorkedSite) -> None:
    (kettle,) = hire.register.find(Appliance)
    async with app_on(hire.register).run_test(size=(120, 40)) as pilot:
        screen = await open_item(pilot, kettle)
        await press(pilot, "i", "tab", "tab", *"p6m", "tab", *"worn plugs", "ctrl+s")
        assert pilot.app.screen is screen
        (override,) = hire.register.find(IntervalOverride)
        assert (override.scope, override.period, override.reason) == (OverrideScope.APPLIANCE, "P6M", "worn plugs")
        assert hire.again(kettle).next_test == date(2027, 5, 24)
        assert "test every 6 months, set for this item by test on 24 Nov 2026: worn plugs" in said(screen)
        await press(pilot, "i", "ctrl+s")
        assert pilot.app.screen is screen
        assert hire.register.find(IntervalOverride) == []
        assert hire.again(kettle).next_test is None


async def test_a_whole_location_may_be_meant(hire: WorkedSite) -> None:
    (kettle,) = hire.register.find(Appliance)
    other = hire.kettle()
    hire.record(other, combined())
    async with app_on(hire.register).run_test(size=(120, 40)) as pilot:
        screen = await open_item(pilot, kettle)
        await press(pilot, "i", "right", "tab", "tab", *"p1y", "tab", *"x", "ctrl+s")
        assert pilot.app.screen is screen
        (override,) = hire.register.find(IntervalOverride)
        assert (override.scope, override.target) == (OverrideScope.LOCATION, hire.kitchen.uid)
        assert hire.again(other).next_test == date(2027, 11, 24)


async def test_an_interval_without_a_reason_keeps_the_form_open(hire: WorkedSite) -> None:
    (kettle,) = hire.register.find(Appliance)
    async with app_on(hire.register).run_test(size=(120, 40)) as pilot:
        screen = await open_item(pilot, kettle)
        await press(pilot, "i", "tab", "tab", *"p6m", "ctrl+s")
        assert pilot.app.screen is not screen
        assert hire.register.find(IntervalOverride) == []


async def test_an_item_goes_out_comes_back_and_is_blocked_until_it_is_inspected(hire: WorkedSite) -> None:
    (kettle,) = hire.register.find(Appliance)
    async with app_on(hire.register).run_test(size=(120, 40)) as pilot:
        screen = await open_item(pilot, kettle)
        await press(pilot, "o", "enter")
        assert pilot.app.screen is screen
        assert [each.movement for each in hire.register.find(ItemMovement)] == [Movement.ISSUED]
        assert "Not to be issued" not in said(screen)
        await press(pilot, "o", "down", "enter")
        assert "Not to be issued or used: no inspection and test has passed since it came back on 24 Nov 2026." in said(
            screen
        )
        await press(pilot, "o", "enter")
        assert len(hire.register.find(ItemMovement)) == 2


async def test_before_issue_the_age_of_the_last_test_is_shown_and_one_past_the_limit_is_asked_about(
    tmp_path: Path,
) -> None:
    with worked_site(tmp_path, environment="hire") as here:
        kettle = here.kettle()
        here.record(kettle, combined(), here.visit(date(2026, 11, 20)))
        app = app_on(here.register)
        app.settings = replace(app.settings, issue_limit_days=3)
        async with app.run_test(size=(120, 40)) as pilot:
            screen = await open_item(pilot, kettle)
            await press(pilot, "o")
            asked = " ".join(pilot.app.screen.query_one("#question", Static).content.plain.split())  # type: ignore[union-attr]
            assert asked.endswith("Last tested 20 Nov 2026, 4 days before; the house's limit is 3 days.")
            await press(pilot, "enter", "enter")
            assert pilot.app.screen is screen
            assert here.register.find(ItemMovement) == []
            await press(pilot, "o", "enter", "down", "enter")
            assert [each.movement for each in here.register.find(ItemMovement)] == [Movement.ISSUED]
