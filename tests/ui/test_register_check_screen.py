"""The check of the register from the settings: its seal where it is sound, every problem where it is not."""

from typing import Any

from textual.app import App
from textual.containers import VerticalScroll
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.register.engine.register_problems import Problem
from appreg.register.journal.journal_ends import present_seal
from appreg.register.opening.register_file import Register
from appreg.tasks.keeping.verify_register import Verification
from appreg.ui.screens.register_check.register_check_screen import RegisterCheckScreen
from appreg.ui.screens.settings.settings_screen import SettingsScreen
from tests.ui.list_register import app_on, tagged
from tests.ui.snapshot_sizes import SIZES


async def check(pilot: Pilot[None]) -> None:
    await pilot.press("f9", "v")
    await pilot.app.workers.wait_for_complete()
    for _ in range(3):
        await pilot.pause()


def told(app: App[None]) -> list[str]:
    return [str(line.render()) for line in app.screen.query_one(VerticalScroll).query(Static)]


def forge(register: Register) -> str:
    """Change what is noted of an item behind the register's back."""
    uid = tagged(register, "KL-001").uid
    register.rows("UPDATE appliance SET notes = '[red]forged' WHERE uid = ?", (uid,))
    return uid


async def test_a_sound_register_shows_its_seal(built_register: Register) -> None:
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await check(pilot)
        assert isinstance(app.screen, RegisterCheckScreen)
        assert told(app)[0] == "sound"
        assert f"seal {present_seal(built_register)}" in told(app)
        await pilot.press("escape")
        assert isinstance(app.screen, SettingsScreen)


async def test_a_cell_altered_behind_its_back_is_shown_with_its_place(built_register: Register) -> None:
    uid = forge(built_register)
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        await check(pilot)
        assert told(app)[0] == "not sound: 1 problem"
        assert f"table appliance, row {uid}, column notes" in told(app)
        assert any("'[red]forged'" in line for line in told(app))
        assert not any(line.startswith("seal") for line in told(app))


async def test_many_problems_are_counted_and_the_first_shown(built_register: Register) -> None:
    many = tuple(Problem(table="appliance", row=str(number), sentence=f"Row {number} is bad.") for number in range(950))
    app = app_on(built_register)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_screen("register_check", found=Verification(problems=many, seal=None))
        await pilot.pause()
        assert told(app)[0] == "not sound: 950 problems"
        assert told(app)[-1].startswith("and 750 more")


@SIZES
def test_a_sound_register_looks_as_it_should(
    snap_compare: Any, built_register: Register, size: tuple[int, int]
) -> None:
    assert snap_compare(app_on(built_register), terminal_size=size, run_before=check)


@SIZES
def test_a_register_that_is_not_sound_looks_as_it_should(
    snap_compare: Any, built_register: Register, size: tuple[int, int]
) -> None:
    forge(built_register)
    built_register.connection.execute(
        "INSERT INTO person (uid, name, initials, address, qualifications) VALUES ('0000000000000000000000000A', 'x', 'x', '', '')"
    )
    assert snap_compare(app_on(built_register), terminal_size=size, run_before=check)
