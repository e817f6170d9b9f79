"""Documents are chosen of a site, an item, a visit or all sites, and written as pages or as a table."""

from collections.abc import Callable
from pathlib import Path

from textual.pilot import Pilot

from appreg.tasks.documents.paper_kinds import Of, papers_of
from appreg.ui.app import AppregApp
from appreg.ui.screens.asking.pick_screen import PickScreen

Apps = Callable[[], AppregApp]
_NAMED = {" ": "space", "/": "slash", "-": "minus", "_": "underscore", ".": "full_stop"}


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(_NAMED.get(key, key) for key in keys))
    for _ in range(3):
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def written(pilot: Pilot[None], app: AppregApp, file: Path) -> None:
    await press(pilot, "ctrl+a", "backspace", *str(file), "enter")
    for _ in range(100):
        if "Written" in screen_text(app):
            break
        await pilot.pause(0.1)
    await press(pilot)


async def test_a_document_is_chosen_at_a_site_and_over_all_of_them(app_factory: Apps, tmp_path: Path) -> None:
    app = app_factory()
    table, pages = tmp_path / "due.csv", tmp_path / "due.pdf"
    async with app.run_test(size=(150, 40), notifications=True) as pilot:
        await press(pilot, "P")
        assert isinstance(app.screen, PickScreen)
        assert all(each.label in screen_text(app) for each in papers_of(Of.SITE))
        await press(pilot, *"due list", "enter")
        await press(pilot, *"csv", "enter")
        await press(pilot, *"9999", "tab")
        await written(pilot, app, table)
        await app.run_action("documents")
        await press(pilot, *"due list", "enter", "enter", "tab")
        await written(pilot, app, pages)
    assert table.read_text(encoding="utf-8").startswith("place,tag,item,")
    assert len(table.read_text(encoding="utf-8").splitlines()) > 3
    assert pages.read_bytes().startswith(b"%PDF")
