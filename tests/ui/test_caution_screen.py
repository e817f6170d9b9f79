"""The cautions stand before everything else until one deliberate key is pressed."""

from collections.abc import Callable
from pathlib import Path

import pytest

from appreg.register.opening.register_file import Register
from appreg.tasks.desk.confirm_cautions import NOT_KEPT, cautions_confirmed, cautions_file, confirm_cautions
from appreg.ui.app import AppregApp
from appreg.ui.screens.caution.caution_screen import CautionScreen
from appreg.ui.screens.sites.sites_screen import SitesScreen
from tests.ui.list_register import TODAY, app_on

pytestmark = pytest.mark.usefixtures("cautions_unread")
Apps = Callable[[], AppregApp]


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def test_the_cautions_come_first_and_hold_off_every_other_key(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for key in ("enter", "space", "f3", "n", "q", "down"):
            await pilot.press(key)
            assert isinstance(app.screen, CautionScreen)


async def test_all_five_cautions_are_seen_at_once_at_80_by_24(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        shown = screen_text(app)
    for words in ("Competent persons", "Local codes", "licensing", "Work dead", "500 V d.c.", "failed its earth check"):
        assert words in shown
    assert "stay closed" in shown


async def test_one_key_confirms_and_it_is_kept_with_name_and_date(built_register: Register) -> None:
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("y")
        await pilot.pause()
        assert isinstance(app.screen, SitesScreen)
    assert cautions_file().read_text(encoding="utf-8") == f"{TODAY.isoformat()}\t1\ttest\n"
    again = app_on(built_register)
    async with again.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(again.screen, SitesScreen)


async def test_where_that_cannot_be_kept_it_is_said_work_goes_on_and_it_is_asked_again(
    built_register: Register,
) -> None:
    cautions_file().mkdir(parents=True)  # in the way
    for _ in range(2):
        app = app_on(built_register)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            assert isinstance(app.screen, CautionScreen)
            await pilot.press("y")
            await pilot.pause()
            assert isinstance(app.screen, SitesScreen)
            assert NOT_KEPT in [note.message for note in app._notifications]


async def test_another_person_reads_them_too(built_register: Register) -> None:
    assert confirm_cautions(built_register.path, "somebody else", TODAY)
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, CautionScreen)


async def test_leaving_them_closes_the_app(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
    assert app.return_code == 0
    assert not cautions_confirmed(app.register.path, "test")


def test_a_file_that_cannot_be_read_counts_as_not_confirmed(tmp_path: Path) -> None:
    cautions_file().parent.mkdir(parents=True)
    cautions_file().write_bytes(b"\xff\xfe\x00")
    assert not cautions_confirmed(tmp_path / "x", "test")
