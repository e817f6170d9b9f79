"""What is unforeseen ends in a sentence and a report without records, never in a traceback with variables."""

import asyncio
import stat
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import ClassVar

import pytest
from textual import work
from textual.pilot import Pilot

from appreg.cli.console import Console
from appreg.cli.open_ui import open_on_screen
from appreg.errors import FaultMet, RegisterUnusable
from appreg.ui.app import AppregApp
from appreg.ui.screens.long_work.long_work_screen import LongWorkScreen
from appreg.ui.screens.sites.sites_screen import SitesScreen
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.commands import Command
from tests.ui.list_register import app_on, build_register
from tests.ui.test_shell_screens import screen_text

SECRET = "Kettle of Mill Bridge Trust"


class RaisingScreen(CommandScreen[None]):
    """Raises in every way that a screen can."""

    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="raise_now", key="x", label="x", help="x"),
        Command(action="refuse", key="r", label="r", help="r"),
        Command(action="raise_in_worker", key="w", label="w", help="w"),
        Command(action="refuse_in_worker", key="v", label="v", help="v"),
        Command(action="refuse_later", key="l", label="l", help="l"),
    )

    def action_raise_now(self) -> None:
        record = {"name": SECRET}
        raise ValueError(record["name"])

    def action_refuse(self) -> None:
        raise RegisterUnusable("The register cannot be read.")

    @work
    async def action_raise_in_worker(self) -> None:
        raise ValueError(SECRET)

    @work(thread=True)
    def action_refuse_in_worker(self) -> None:
        raise RegisterUnusable("The register cannot be read.")

    def action_refuse_later(self) -> None:
        self.set_timer(0.01, self.action_refuse)


@pytest.fixture
def reports(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    return tmp_path / "state" / "appreg" / "reports"


def kept_in(reports: Path) -> list[Path]:
    return sorted(reports.glob("*")) if reports.exists() else []


async def until_ended(app: AppregApp, key: str) -> None:
    """Drive the app without run_test, which would raise the fault again, until it ends of itself."""

    async def press(pilot: Pilot[object]) -> None:
        await pilot.app.push_screen(RaisingScreen())
        pilot.app.simulate_key(key)

    await asyncio.wait_for(app.run_async(headless=True, size=(80, 24), auto_pilot=press), timeout=20)


async def driven(app: AppregApp, drive: Callable[[Pilot[None]], Awaitable[None]]) -> None:
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await drive(pilot)


async def test_an_unforeseen_error_ends_in_a_sentence_and_a_report_that_holds_no_record(
    tmp_path: Path, reports: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    with build_register(tmp_path / "f.appreg") as register:
        app = app_on(register)
        await until_ended(app, "x")
    assert app.return_code == 1
    assert isinstance(app.fault, FaultMet)
    (report,) = kept_in(reports)
    sentence = str(app.fault)
    assert sentence.startswith("Something went wrong inside appreg (ValueError in ")
    assert "Nothing that was saved is lost" in sentence
    assert f"kept in {report}; read it before you send it to anyone." in sentence
    told = report.read_text(encoding="utf-8")
    assert "ValueError" in told
    assert "action_raise_now" in told
    assert stat.S_IMODE(report.stat().st_mode) == 0o600
    shown = capfd.readouterr()
    for said in (sentence, told, shown.out, shown.err):
        assert SECRET not in said
    assert "Traceback" not in shown.out + shown.err
    assert str(Path.home()) not in told


async def test_run_test_still_raises_what_was_unforeseen(tmp_path: Path, reports: Path) -> None:
    async def drive(pilot: Pilot[None]) -> None:
        await pilot.app.push_screen(RaisingScreen())
        await pilot.press("x")
        await pilot.pause()

    with build_register(tmp_path / "f.appreg") as register:
        app = app_on(register)
        with pytest.raises(ValueError, match=SECRET):
            await driven(app, drive)
    assert len(kept_in(reports)) == 1


@pytest.mark.parametrize("key", ["r", "v", "l"])
async def test_a_refusal_that_nobody_took_is_told_and_the_screen_goes_on(
    app_factory: Callable[[], AppregApp], key: str
) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await app.push_screen(RaisingScreen())
        await pilot.press(key)
        await app.workers.wait_for_complete()
        await pilot.pause(0.1)
        assert "The register cannot be read." in screen_text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, SitesScreen)


async def test_a_fault_in_a_worker_is_told_and_reported_and_the_app_goes_on(tmp_path: Path, reports: Path) -> None:
    async def drive(pilot: Pilot[None]) -> None:
        screen = RaisingScreen()
        await pilot.app.push_screen(screen)
        screen.action_raise_in_worker()
        await asyncio.sleep(0.3)
        assert "Something went wrong inside" in screen_text(app)
        assert app.screen is screen

    with build_register(tmp_path / "f.appreg") as register:
        app = app_on(register)
        with pytest.raises(ValueError, match=SECRET):
            await driven(app, drive)
    assert app.fault is None
    assert len(kept_in(reports)) == 1


async def test_long_work_that_fails_unforeseen_lets_the_person_go_on(tmp_path: Path, reports: Path) -> None:
    def fail(_progress: object) -> int:
        raise KeyError(SECRET)

    async def drive(pilot: Pilot[None]) -> None:
        await pilot.app.push_screen(LongWorkScreen("Printing", fail))
        await asyncio.sleep(0.3)
        assert isinstance(app.screen, SitesScreen)

    with build_register(tmp_path / "f.appreg") as register:
        app = app_on(register)
        with pytest.raises(KeyError):
            await driven(app, drive)
    assert len(kept_in(reports)) == 1


def test_the_command_tells_what_ended_the_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, reports: Path
) -> None:
    monkeypatch.setenv("APPREG_SETTINGS", str(tmp_path / "settings.toml"))

    def run(app: AppregApp) -> None:
        app.fault = FaultMet("Something went wrong.")

    monkeypatch.setattr(AppregApp, "run", run)
    with pytest.raises(FaultMet, match="Something went wrong"):
        open_on_screen(tmp_path / "r.sqlite", Console())
    assert kept_in(reports) == []


@pytest.mark.parametrize("size", [(80, 24), (60, 30)])
async def test_a_long_sentence_stands_whole_on_the_screen(
    app_factory: Callable[[], AppregApp], size: tuple[int, int]
) -> None:
    words = [f"word{number}" for number in range(30)]
    path = "/a/folder/whose/name/goes/on/and/on/and/on/without/any/space/register.sqlite"
    app = app_factory()
    async with app.run_test(size=size, notifications=True) as pilot:
        await pilot.pause()
        app.warn(f"The register {path} is damaged: {' '.join(words)}.")
        await pilot.pause(0.3)
        shown = screen_text(app)
        assert [word for word in words if word not in shown] == [], shown
