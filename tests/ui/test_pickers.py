"""A picker takes what is typed at once, and enter takes the answer that is shown."""

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, Static

from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from appreg.ui.lists.list_pane import FilterInput
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.category_form import CategoryForm
from appreg.ui.screens.forms.choice_field import ChoiceField
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from tests.ui.list_register import app_on

SITES = ("Oak House", "Harbour Row 14", "Old oak mill", "Kiln Lane")


@pytest.fixture(name="app")
def _app(built_register: Register) -> AppregApp:
    return app_on(built_register)


async def ask(pilot: Pilot[None], app: AppregApp) -> list[str | None]:
    taken: list[str | None] = []
    await pilot.pause()
    app.push_screen(PickScreen("Which site?", [Answer(name, name) for name in SITES]), taken.append)
    await pilot.pause()
    return taken


@pytest.mark.parametrize(
    ("keys", "taken"),
    [
        (["k", "i", "l", "n", "enter"], "Kiln Lane"),
        (["o", "a", "k", "down", "enter"], "Old oak mill"),
        ([*"mill", "enter"], "Old oak mill"),
        ([*"arbo", "enter"], "Harbour Row 14"),
        ([*"row", "space", *"14", "enter"], "Harbour Row 14"),
        ([*"oak", "escape", "end", "enter"], "Kiln Lane"),
        (["end", "home", "enter"], "Oak House"),
        ([*"kiln", "escape", "escape"], None),
        (["escape"], None),
    ],
)
async def test_what_is_typed_narrows_the_answers_and_enter_takes_the_one_that_is_shown(
    app: AppregApp, keys: list[str], taken: str | None
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        answer = await ask(pilot, app)
        await pilot.press(*keys)
        await pilot.pause()
        assert answer == [taken]


async def test_enter_takes_nothing_where_nothing_answers(app: AppregApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        answer = await ask(pilot, app)
        await pilot.press(*"zz", "enter")
        await pilot.pause()
        assert answer == []
        screen = app.screen
        assert isinstance(screen, PickScreen)
        assert screen.query_one(FilterInput).value == "zz"
        assert any("no row holds “zz”" in each.message for each in app._notifications)


@pytest.mark.parametrize(
    ("keys", "value"),
    [
        ([*"lead"], "extension-lead"),
        ([*"cord"], "cord-set"),
        (["s"], "stationary"),
        ([*"s", "down"], "cord-set"),
        ([*"built", "escape", "up"], "fixed"),
        ([*"lea", "backspace", "backspace", "backspace", *"cor"], "cord-set"),
        ([*"cord", "space", *"set"], "cord-set"),
    ],
)
async def test_an_answer_in_a_form_is_found_by_typing_more_than_its_first_letter(
    app: AppregApp, keys: list[str], value: str
) -> None:
    async with app.run_test(size=(80, 40)) as pilot:
        await pilot.pause()
        desk = Desk(app.register, app.who, lambda: app.today)
        app.push_screen(FormScreen(CategoryForm(desk)))
        await pilot.pause()
        field = app.screen.query_one("#equipment_type", ChoiceField)
        field.focus()
        await pilot.pause()
        await pilot.press(*keys)
        assert field.value == value
        assert isinstance(app.screen, FormScreen)


async def test_enter_leaves_no_field_where_no_answer_holds_what_is_typed(app: AppregApp) -> None:
    async with app.run_test(size=(80, 40)) as pilot:
        await pilot.pause()
        app.push_screen(FormScreen(CategoryForm(Desk(app.register, app.who, lambda: app.today))))
        await pilot.pause()
        field = app.screen.query_one("#equipment_type", ChoiceField)
        field.focus()
        await pilot.press(*"zz", "enter")
        assert app.focused is field
        assert "no answer holds “zz”" in str(field.render())
        await pilot.press("escape", "enter")
        assert app.focused is not field


async def test_nothing_is_saved_while_no_answer_holds_what_is_typed(app: AppregApp) -> None:
    saved: list[object] = []
    async with app.run_test(size=(80, 40)) as pilot:
        await pilot.pause()
        form = CategoryForm(Desk(app.register, app.who, lambda: app.today), name="Sander")
        app.push_screen(FormScreen(form), saved.append)
        await pilot.pause()
        app.screen.query_one("#code", Input).value = "SND"
        field = app.screen.query_one("#equipment_type", ChoiceField)
        field.focus()
        await pilot.press(*"zz", "ctrl+s")
        assert saved == []
        refusals = [str(each.render()) for each in app.screen.query(".refusal").results(Static)]
        assert "! Not saved: no answer holds what is typed here; esc shows all." in refusals
        await pilot.press("escape", "ctrl+s")
        await pilot.pause()
        assert len(saved) == 1
