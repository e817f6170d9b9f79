"""The scope of work by keys: of sites that are chosen, of items that are chosen, written where one says."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input

from appreg.core.records.kept_records import Site
from appreg.core.values.uids import Uid
from appreg.exchange.scope_file import read_scope_file, write_scope_file
from appreg.register.opening.register_file import Register
from appreg.schedule.scope_of_work import ComparedItem, ScopeResult
from appreg.tasks.planning.draw_up_scope import scope_of_sites
from appreg.ui.app import AppregApp
from appreg.ui.lists.row_sources import Arrangement, MemoryRows
from appreg.ui.screens.asking.pick_screen import PickScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.screens.scope import compared_scope_screen
from tests.ui.list_register import TODAY
from tests.ui.test_sites_screen import press, screen_text

Apps = Callable[[], AppregApp]


async def write_to(pilot: Pilot[None], file: Path, *form: str) -> None:
    """Take the form that was asked for, and give the file its name."""
    assert isinstance(pilot.app.screen, PickScreen)
    await press(pilot, *form, "enter")
    screen = pilot.app.screen
    assert isinstance(screen, FormScreen)
    screen.query_one(Input).value = str(file)
    await press(pilot, "ctrl+s")
    await press(pilot)


async def test_the_scope_of_chosen_sites_goes_into_one_file(app_factory: Apps, tmp_path: Path) -> None:
    app = app_factory()
    out = tmp_path / "scope.csv"
    async with app.run_test(size=(100, 30)) as pilot:
        await press(pilot)
        await press(pilot, "space", "space", "q")
        assert "2 sites" in screen_text(app)
        await write_to(pilot, out)
        assert out.exists()
    sent = read_scope_file(out)
    assert len(sent.sites) == 2


async def test_the_scope_of_chosen_items_names_them_alone(app_factory: Apps, tmp_path: Path) -> None:
    app = app_factory()
    out = tmp_path / "scope.json"
    async with app.run_test(size=(100, 30)) as pilot:
        await press(pilot)
        await press(pilot, "f8")
        await press(pilot, "ctrl+a", "Q")
        everything = screen_text(app)
        await press(pilot, "escape", "escape", "ctrl+a", "home", "space", "space", "Q")
        assert screen_text(app) != everything
        await write_to(pilot, out, "J", "S", "O", "N")
    assert 1 <= len(read_scope_file(out).items) <= 2


async def test_what_came_back_is_listed_with_failures_first(
    app_factory: Apps, built_register: Register, tmp_path: Path
) -> None:
    out = tmp_path / "scope.csv"
    sites = [site.uid for site in built_register.find(Site)]
    scope = scope_of_sites(built_register, sites=sites, today=TODAY)
    write_scope_file(scope, out)
    app = app_factory()
    async with app.run_test(size=(120, 30)) as pilot:
        await press(pilot)
        await press(pilot, "k")
        pilot.app.screen.query_one(Input).value = str(out)
        await press(pilot, "ctrl+s")
        shown = screen_text(app)
        assert f"{len(scope.items)} items wanted: 0 done, 0 failed, {len(scope.items)} not done, 0 extra" in shown
        await press(pilot, "enter")
        assert isinstance(pilot.app.screen, ItemScreen)


def test_what_came_back_is_sorted_by_tag_and_day_like_every_list() -> None:
    def compared(tag: str, on: date | None) -> ComparedItem:
        return ComparedItem(
            result=ScopeResult.DONE, key=Uid(tag), item=None, tag=tag, name="Lamp", site="Row", work=None, on=on
        )

    items = [compared("HR-10", None), compared("HR-2", TODAY)]
    rows: MemoryRows[ComparedItem] = MemoryRows(compared_scope_screen._COLUMNS, items, key=lambda line: line.tag)
    for column in ("tag", "on"):
        assert rows.arranged(Arrangement(column)).key(0) == "HR-2"
    days = next(each for each in compared_scope_screen._COLUMNS if each.key == "on")
    assert [days.filed_cell(item) for item in items] == [None, TODAY.isoformat()]
