"""A report issued from the list of visits, and printed again from the list of issued documents."""

from collections.abc import Callable
from pathlib import Path

from textual.pilot import Pilot

from appreg.core.records.issued_documents import IssuedDocument
from appreg.ui.app import AppregApp
from appreg.ui.screens.issued.issued_screen import IssuedScreen

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


async def test_a_report_is_issued_by_a_key_listed_and_printed_again(app_factory: Apps, tmp_path: Path) -> None:
    app = app_factory()
    first, again = tmp_path / "first.pdf", tmp_path / "again.pdf"

    async def named(file: Path) -> None:
        await press(pilot, "ctrl+a", "backspace", *str(file), "enter")
        for _ in range(100):
            if "Written" in screen_text(app):
                break
            await pilot.pause(0.1)
        await press(pilot)

    async with app.run_test(size=(140, 24), notifications=True) as pilot:
        await press(pilot, "down", "y", "i")
        assert "It gets a number" in screen_text(app)
        await named(first)
        assert len(app.register.find(IssuedDocument)) == 1
        await press(pilot, "escape")
        await app.run_action("issued", default_namespace=app.screen)
        await press(pilot)
        assert isinstance(app.screen, IssuedScreen)
        assert "1.1" in screen_text(app)
        assert "visit of 24 Oct" in screen_text(app)
        await press(pilot, "p")
        await named(again)
    assert again.read_bytes() == first.read_bytes()


async def test_where_nothing_was_issued_the_list_says_so(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(100, 24), notifications=True) as pilot:
        await app.run_action("issued", default_namespace=app.screen)
        await press(pilot)
        assert "no document was issued of this site yet" in screen_text(app)
        await press(pilot, "p")
        assert "Nothing was issued here yet: i on a visit issues its report" in screen_text(app)
