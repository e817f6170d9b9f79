"""The ways about: help, the list of commands, the standing screens, light and dark, the scan box."""

from collections.abc import Callable
from unittest import mock

import pytest
from textual.pilot import Pilot

from appreg.ui.app import AppregApp
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.evidence.evidence_screen import EvidenceScreen
from appreg.ui.screens.find.find_screen import FindScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.help.help_screen import HelpScreen
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.screens.items.items_screen import ItemsScreen
from appreg.ui.screens.label_tray.label_tray_screen import LabelTrayScreen
from appreg.ui.screens.palette.palette_screen import PaletteScreen
from appreg.ui.screens.rule_book.rule_book_screen import RuleBookScreen
from appreg.ui.screens.settings.settings_screen import SettingsScreen
from appreg.ui.screens.site_page.site_page_screen import SitePageScreen
from appreg.ui.screens.sites.sites_screen import SitesScreen
from appreg.ui.screens.walk_round.walk_round_screen import WalkRoundScreen
from appreg.ui.shell.app_commands import APP_COMMANDS
from appreg.ui.shell.command_screen import CommandScreen
from tests.ui.list_register import tagged

Apps = Callable[[], AppregApp]


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(2):
        await pilot.pause()


async def test_help_shows_every_command_of_the_screen_and_of_the_app(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(120, 120)) as pilot:
        await pilot.pause()
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpScreen)
        shown = screen_text(app)
        for command in (*SitesScreen.all_commands(), *APP_COMMANDS):
            assert command.label in shown
            assert command.help[:30] in shown
        assert "Work dead." in shown
        await press(pilot, "escape")
        assert isinstance(app.screen, SitesScreen)


async def test_a_few_letters_find_a_command_and_enter_does_it(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "ctrl+p", *"due")
        assert isinstance(app.screen, PaletteScreen)
        await press(pilot, "enter")
        assert isinstance(app.screen, DueScreen)


async def test_a_command_of_the_screen_behind_acts_there(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "ctrl+p", *"new", "space", *"site", "enter")
        assert isinstance(app.screen, FormScreen)


async def test_what_no_command_answers_to_is_said_and_enter_does_nothing(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "ctrl+p", *"zzz")
        assert "no command answers to that" in screen_text(app)
        await press(pilot, "enter")
        assert isinstance(app.screen, PaletteScreen)


async def test_the_arrow_keys_choose_among_commands(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "ctrl+p", *"label", "down", "up", "enter")
        assert app.current_mode == "label_tray"


@pytest.mark.parametrize(("key", "mode"), [("f3", "due"), ("f4", "label_tray"), ("f5", "rule_book"), ("f8", "items")])
async def test_a_function_key_leads_to_its_screen_and_f2_back(app_factory: Apps, key: str, mode: str) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, key)
        assert app.current_mode == mode
        await press(pilot, "f2")
        assert isinstance(app.screen, SitesScreen)


@pytest.mark.parametrize("way", [("f2",), ("f3", "f2")])
async def test_the_key_of_a_screen_leads_to_that_screen_and_not_to_a_page_over_it(
    app_factory: Apps, way: tuple[str, ...]
) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "down", "enter")
        assert isinstance(app.screen, SitePageScreen)
        await press(pilot, *way)
        assert isinstance(app.screen, SitesScreen)
        assert app.screen.table.cursor == 1


async def test_a_line_half_typed_on_the_walk_round_is_not_left_unseen(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "a", *"kettle", "f3", "f2")
        assert isinstance(app.screen, WalkRoundScreen)
        assert app.screen.entry.name_typed == "kettle"
        assert any("not added: “kettle”" in each.message for each in app._notifications)
        await press(pilot, "ctrl+u", "f2")
        assert isinstance(app.screen, SitesScreen)


async def test_on_a_site_e_changes_the_item_and_capital_e_the_site(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "enter", "e")
        assert "Item · HR-001" in screen_text(app)
        await press(pilot, "ctrl+a", *"Wok", "ctrl+s")
        assert tagged(app.register, "HR-001").name == "Wok"
        await press(pilot, "E")
        assert "Site · Harbour Row 14" in screen_text(app)
        await press(pilot, "escape", "f8", "e")
        assert "Item · " in screen_text(app)


async def test_escape_on_a_standing_screen_stays_there(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, SitesScreen)
        assert "back" not in [command.label for command in app.screen.open_commands()]


async def test_light_and_dark_change_over(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert app.theme.endswith("dark")
        await press(pilot, "ctrl+p", *"light", "enter")
        assert app.theme.endswith("light")


async def test_a_click_on_the_key_line_does_what_the_key_does(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        at = screen_text(app).splitlines()[23].index("n new site")
        await pilot.click("KeyLine", offset=(at, 0))
        await pilot.pause()
        assert isinstance(app.screen, FormScreen)


@pytest.mark.parametrize("typed", ["kl-002", "KL-002", "code"])
async def test_a_scanned_label_or_a_typed_tag_leads_to_the_item(app_factory: Apps, typed: str) -> None:
    app = app_factory()
    item = tagged(app.register, "KL-002")
    letters = f"APPREG:{item.uid}" if typed == "code" else typed
    named = {":": "colon", "-": "minus"}
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "f3", "ctrl+g", *(named.get(letter, letter) for letter in letters), "enter")
        assert isinstance(app.screen, ItemScreen)
        assert "KL-002" in screen_text(app)


async def test_words_find_items_and_the_arrow_keys_choose(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "ctrl+g", *"kettle")
        assert isinstance(app.screen, FindScreen)
        assert "2 found" in screen_text(app)
        await press(pilot, "down", "enter")
        assert isinstance(app.screen, ItemScreen)


async def test_what_nothing_answers_to_is_said_and_nothing_is_lost(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "ctrl+g", *"zzz", "enter")
        assert isinstance(app.screen, FindScreen)
        assert "nothing answers to that" in screen_text(app)
        assert "zzz" in screen_text(app)


async def test_a_sentence_with_markup_is_told_as_it_stands(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await pilot.pause()
        app.say("x [/] y [red]")
        app.warn("[@click=app.quit]z\x1b[2J")
        for _ in range(3):
            await pilot.pause()
        shown = screen_text(app)
        assert "x [/] y [red]" in shown
        assert "[@click=app.quit]z␛[2J" in shown
        assert isinstance(app.screen, CommandScreen)


@pytest.mark.parametrize(
    ("key", "screen"),
    [
        ("f3", DueScreen),
        ("f4", LabelTrayScreen),
        ("f5", RuleBookScreen),
        ("f7", EvidenceScreen),
        ("f8", ItemsScreen),
        ("f9", SettingsScreen),
    ],
)
async def test_a_standing_screen_reads_once_when_it_is_shown_and_again_when_it_comes_back(
    app_factory: Apps, key: str, screen: type[CommandScreen[None]]
) -> None:
    app = app_factory()
    with mock.patch.object(screen, "load", autospec=True, side_effect=screen.load) as load:
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await press(pilot, key)
            assert load.call_count == 1
            await press(pilot, "f1")
            assert isinstance(app.screen, HelpScreen)
            await press(pilot, "escape")
            assert load.call_count == 2
            await press(pilot, "f2", key)
            assert load.call_count == 3
