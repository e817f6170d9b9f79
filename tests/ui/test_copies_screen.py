"""Kept copies by keys: made, checked, and put in the register's place once the screen is closed."""

import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.clock import Instant
from appreg.core.records.kept_records import Appliance
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.desk.list_copies import copies_folder, list_copies
from appreg.tasks.keeping.keep_copy import keep_copy
from appreg.tasks.keeping.restore_copy import put_restored
from appreg.ui.app import AppregApp
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.copies.copies_screen import CopiesScreen, RestoreScreen
from tests.postgres_server import PostgresServer, of_a_file
from tests.ui.list_register import TODAY, WHO, build_register, tagged

NOW = Instant(1_795_000_000_000)
_RESTORED = of_a_file("a copy is put into a database with `appreg copy`")


def app_on(register: Register, settings: Settings | None = None) -> AppregApp:
    return AppregApp(register, today=TODAY, who=WHO, clock=lambda: NOW, settings=settings)


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    for _ in range(3):
        await pilot.pause()


async def open_copies(pilot: Pilot[None]) -> None:
    await press(pilot, "ctrl+p", *"kept", "space", *"copies", "enter")


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


def told(app: AppregApp) -> list[str]:
    return [each.message for each in app._notifications]


def copies_of(register: Register) -> list[Path]:
    return [copy.path for copy in list_copies(copies_folder(register.path))]


def remove_an_item(register: Register) -> Appliance:
    item = tagged(register, "HR-006")
    with register.change(WHO) as change:
        change.remove(item)
    return item


async def test_a_copy_is_made_by_one_key_and_stands_in_the_list(built_register: Register) -> None:
    app = app_on(built_register)
    async with app.run_test(size=(120, 40)) as pilot:
        await open_copies(pilot)
        assert isinstance(app.screen, CopiesScreen)
        assert "no copy is kept yet" in screen_text(app)
        await press(pilot, "n")
        (copy,) = copies_of(built_register)
        assert app.screen.query_one(VirtualTable).cursor_key == str(copy)
        assert "found sound when made" in screen_text(app)
        assert copy.name in screen_text(app)


async def test_copies_go_into_the_second_folder_and_are_listed_from_there(
    built_register: Register, tmp_path: Path
) -> None:
    (tmp_path / "stick").mkdir()
    app = app_on(built_register, Settings(second_folder=str(tmp_path / "stick")))
    async with app.run_test(size=(120, 40)) as pilot:
        await open_copies(pilot)
        await press(pilot, "n")
        assert app.screen.query_one(VirtualTable).row_count == 2
        assert "second folder" in screen_text(app)


async def test_a_copy_is_checked_where_it_stands(built_register: Register) -> None:
    keep_copy(built_register, settings=Settings(), now=NOW)
    (copy,) = copies_of(built_register)
    app = app_on(built_register)
    async with app.run_test(size=(120, 40)) as pilot:
        await open_copies(pilot)
        await press(pilot, "v")
        assert "is sound, up to line" in told(app)[-1]
        with closing(sqlite3.connect(copy, isolation_level=None)) as connection:
            connection.execute("UPDATE client SET name = 'forged'")
        await press(pilot, "v")
        assert "is damaged" in told(app)[-1]


@_RESTORED
async def test_a_restore_tells_what_is_missing_and_escape_changes_nothing(built_register: Register) -> None:
    keep_copy(built_register, settings=Settings(), now=NOW)
    remove_an_item(built_register)
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_copies(pilot)
        await press(pilot, "enter")
        assert isinstance(app.screen, RestoreScreen)
        assert "It lacks 1 change with" in screen_text(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, CopiesScreen)
        assert app.restore_wanted is None
    assert [each.name[:1] for each in copies_folder(built_register.path).iterdir()] == ["2"]


@_RESTORED
async def test_a_restore_is_done_once_the_screen_is_closed(built_register: Register) -> None:
    keep_copy(built_register, settings=Settings(), now=NOW)
    gone = remove_an_item(built_register)
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_copies(pilot)
        await press(pilot, "enter", "y")
        assert app.restore_wanted is not None
        assert not app.is_running or app._exit
    built_register.close()
    done = put_restored(
        app.restore_wanted, environ={"XDG_STATE_HOME": str(built_register.path.parent / "state")}, now=NOW
    )
    assert done.set_aside is not None
    with open_register(built_register.path) as register:
        assert tagged(register, gone.tag) == gone


@_RESTORED
@pytest.mark.parametrize("damage", [b"", b"no register at all" * 1000], ids=["empty", "text"])
async def test_a_damaged_copy_is_refused_in_a_sentence(
    built_register: Register, damage: bytes, app_factory: Callable[[], AppregApp]
) -> None:
    keep_copy(built_register, settings=Settings(), now=NOW)
    copies_of(built_register)[0].write_bytes(damage)
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await open_copies(pilot)
        await press(pilot, "enter")
        assert isinstance(app.screen, CopiesScreen)
        assert re.search("no register|not a register", told(app)[-1])
        assert app.restore_wanted is None


async def test_no_copy_is_put_over_a_database(server: PostgresServer, tmp_path: Path) -> None:
    with build_register(server.new_place(tmp_path / "there")) as register:
        keep_copy(register, settings=Settings(), now=NOW)
        app = app_on(register)
        async with app.run_test(size=(80, 24)) as pilot:
            await open_copies(pilot)
            await press(pilot, "enter")
            assert isinstance(app.screen, CopiesScreen)
            assert "`appreg copy FILE postgresql://…`" in told(app)[-1]
            assert app.restore_wanted is None
