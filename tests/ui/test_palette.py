"""The list of commands offers every command of the program, and leads to where it is done."""

from collections.abc import Callable

import pytest
from textual.pilot import Pilot

from appreg.tasks.desk.keep_settings import Settings
from appreg.ui.app import AppregApp
from appreg.ui.elsewhere import way_to
from appreg.ui.screens.asking.pick_screen import PickScreen
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.due_groups.due_groups_screen import DueGroupsScreen
from appreg.ui.screens.find.find_screen import FindScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.item.item_actions import StateForm
from appreg.ui.screens.label_tray.label_tray_screen import LabelTrayScreen
from appreg.ui.screens.palette.palette_screen import PaletteScreen
from appreg.ui.screens.walk_round.walk_round_screen import WalkRoundScreen
from appreg.ui.shell.key_map import every_command
from tests.ui.list_register import TODAY, WHO

Apps = Callable[[], AppregApp]
SIZE = (110, 30)


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


def told(app: AppregApp) -> list[str]:
    return [each.message for each in app._notifications]


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


async def choose(pilot: Pilot[None], words: str) -> None:
    named = {" ": "space", "-": "minus"}
    await press(pilot, "ctrl+p", *(named.get(letter, letter) for letter in words))
    await press(pilot, "enter")


def test_every_command_but_the_answers_to_questions_has_a_way() -> None:
    without = {
        each.command.id
        for each in every_command()
        if way_to(each.command) is None and not each.only_over_others and each.place != "everywhere"
    }
    assert without == {"screen.back", "screen.help"}


async def test_every_command_of_the_program_is_offered_on_the_first_screen(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "ctrl+p")
        assert isinstance(app.screen, PaletteScreen)
        offered = {each.command.id for each in app.screen._offered}
    expected = {each.command.id for each in every_command() if not each.only_over_others}
    assert expected - offered == {"app.palette", "screen.back"}


async def test_a_command_of_another_standing_screen_goes_there_and_is_done(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=SIZE) as pilot:
        await choose(pilot, "look further")
        assert isinstance(app.screen, DueScreen)
        assert "within 60 days" in screen_text(app)
        await choose(pilot, "group by")
        assert isinstance(app.screen, DueGroupsScreen)


async def test_a_command_of_a_site_asks_for_the_site_first(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "f3")
        await choose(pilot, "walk-round site page add items")
        assert isinstance(app.screen, PaletteScreen)
        await press(pilot, "ctrl+u")
        await press(pilot, *"room after room", "enter")
        assert isinstance(app.screen, PickScreen)
        assert "At which site?" in screen_text(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, WalkRoundScreen)


async def test_a_command_of_an_item_asks_for_the_item_first(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=SIZE) as pilot:
        await choose(pilot, "withdraw")
        assert isinstance(app.screen, FindScreen)
        await press(pilot, *"kl", "minus", *"002", "enter")
        assert isinstance(app.screen, FormScreen)
        assert isinstance(app.screen._form, StateForm)
        assert "Withdraw · KL-002" in screen_text(app)


async def test_what_acts_at_the_cursor_is_led_to_and_not_done(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=SIZE) as pilot:
        await choose(pilot, "take out")
        assert isinstance(app.screen, LabelTrayScreen)
        assert any("Here x does it, take out" in said for said in told(app))


@pytest.mark.parametrize("words", ["leakage", "put right"])
async def test_a_command_of_the_bench_asks_for_the_item_and_says_its_key_there(app_factory: Apps, words: str) -> None:
    app = app_factory()
    async with app.run_test(size=SIZE) as pilot:
        await choose(pilot, words)
        assert isinstance(app.screen, FindScreen)


async def test_a_key_of_the_bench_is_not_said_to_be_the_one_of_the_form_that_comes_before_it(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=SIZE) as pilot:
        await choose(pilot, "put right")
        await press(pilot, *"kl", "minus", *"002", "enter")
        assert isinstance(app.screen, FormScreen)
        assert any("Then, on “Bench”, ^k does it, put right" in said for said in told(app))


async def test_the_keys_offered_are_the_ones_that_are_set(app_factory: Apps) -> None:
    app = AppregApp(app_factory().register, today=TODAY, who=WHO, settings=Settings(keys={"item.withdraw": "ctrl+w"}))
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "ctrl+p", *"withdraw")
        row = next(line for line in screen_text(app).splitlines() if "items: Take the chosen items" in line)
        assert row.split()[:2] == ["withdraw", "^w"]
