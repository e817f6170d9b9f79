"""A register whose file goes away under the screens: it is said once, nothing is confirmed, and what was typed stays."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Client, Inspection
from appreg.register.engine import file_opening
from appreg.register.opening.register_file import Register, open_register
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_lines import line_of
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.people_forms import ClientForm
from tests.postgres_server import of_a_file
from tests.ui.bench_register import KETTLE, bench_of, lay_table
from tests.ui.list_register import TODAY, WHO

Apps = Callable[[], AppregApp]
pytestmark = of_a_file("no database is moved under a program that has it open")


def notes(app: AppregApp) -> list[str]:
    return [note.message for note in app._notifications]


async def settle(pilot: Pilot[None]) -> None:
    for _ in range(3):
        await pilot.pause()


def move_away(register: Register) -> Callable[[], None]:
    """Move the file with what stands beside it; returns what puts it back."""
    names = [register.path.with_name(register.path.name + end) for end in ("", "-wal", "-shm")]
    for each in names:
        each.rename(each.with_name(f"aside-{each.name}"))

    def put_back() -> None:
        for each in names:
            each.with_name(f"aside-{each.name}").rename(each)

    return put_back


async def test_a_file_that_is_gone_is_said_once_and_the_screens_go_on(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        assert not any("was moved" in each for each in notes(app))
        move_away(app.register)
        for key in ("f8", "f3", "f2", "f8"):
            await pilot.press(key)
            await pilot.pause()
        assert sum("nothing can be saved; leave and open it anew" in each for each in notes(app)) == 1
        await pilot.press("slash", *"kettle")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app.is_running


async def test_a_form_keeps_what_was_typed_where_the_file_is_gone_and_saves_it_once_it_is_back(
    app_factory: Apps,
) -> None:
    app = app_factory()
    async with app.run_test(size=(100, 30)) as pilot:
        came_back: list[object] = []
        app.push_screen(FormScreen(ClientForm(Desk(app.register, WHO, TODAY))), came_back.append)
        await pilot.pause()
        app.screen.query_one("#name", Input).value = "Typed with care"
        put_back = move_away(app.register)
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert came_back == []
        assert app.screen.query_one("#name", Input).value == "Typed with care"
        put_back()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert len(app.register.find(Client, name="Typed with care")) == len(came_back) == 1


async def test_the_bench_keeps_its_readings_where_the_file_is_gone(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE))
    app = table.app()
    async with app.run_test(size=(100, 40)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await settle(pilot)
        await pilot.press("space", *"0.08", "enter", *">299", "enter", "space")
        await settle(pilot)
        put_back = move_away(app.register)
        await pilot.press("enter")
        await settle(pilot)
        assert any("nothing was saved" in each for each in notes(app))
        assert bench_of(app).state.entries.typed[line_of(Check.EARTH_CONTINUITY)] == "0.08"
        assert app.register.find(Inspection) == []
        put_back()
        await pilot.press("enter")
        await settle(pilot)
        assert len(app.register.find(Inspection)) == 1


@pytest.mark.parametrize("key", ["v", "a"])
async def test_what_is_open_is_read_on_where_the_file_is_gone_and_that_is_said_once(tmp_path: Path, key: str) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE))
    app = table.app()
    async with app.run_test(size=(100, 40)) as pilot:
        await settle(pilot)
        move_away(app.register)
        await pilot.press(key)
        await settle(pilot)
        assert len(notes(app)) == 1
        assert "nothing can be saved; leave and open it anew" in notes(app)[0]
        assert "HR-001" in shown(app)


def shown(app: AppregApp) -> str:
    """The text on the screen."""
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def test_a_register_that_may_only_be_read_opens_on_the_screen_and_refuses_in_a_sentence(
    built_register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    built_register.close()
    monkeypatch.setattr(file_opening, "_may_write", lambda _path: False)
    with open_register(built_register.path) as register:
        app = AppregApp(register, today=TODAY, who=WHO)
        async with app.run_test(size=(100, 30)) as pilot:
            for key in ("f3", "f4", "f6", "f8", "f2", "enter"):
                await pilot.press(key)
                await app.workers.wait_for_complete()
                await pilot.pause()
            came_back: list[object] = []
            app.push_screen(FormScreen(ClientForm(Desk(register, WHO, TODAY))), came_back.append)
            await pilot.pause()
            app.screen.query_one("#name", Input).value = "Typed in vain"
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert came_back == []
            text = " ".join("".join(line.text for line in app.screen._compositor.render_strips()).split())
            assert "open to read only" in text
    assert [each.name for each in built_register.path.parent.iterdir()] == [built_register.path.name]
