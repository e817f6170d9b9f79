"""What commands say of the machine's clock, and that the screen asks for the day each time."""

from pathlib import Path

import pytest

from appreg.cli import opening
from appreg.cli.console import Console
from appreg.cli.open_ui import open_on_screen
from appreg.clock import Instant, local_today
from appreg.ui.app import AppregApp
from tests.cli.conftest import Call
from tests.tasks.worked_site import WorkedSite

_MONTH = 31 * 86_400_000


@pytest.mark.parametrize(
    ("away", "words", "said"),
    [
        (-120_000, ("due",), "set it right before you go on"),
        (-120_000, ("move", "HR-001", "issued"), "set it right before you go on"),
        (_MONTH, ("due",), ""),
        (_MONTH, ("verify",), ""),
        (_MONTH, ("move", "HR-001", "returned"), "31 days after the last change in this register"),
    ],
)
def test_a_clock_behind_is_always_said_and_one_ahead_where_something_is_written(
    away: int, words: tuple[str, ...], said: str, row: WorkedSite, call: Call
) -> None:
    now = Instant((row.register.last_instant() or 0) + away)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(opening, "system_clock", lambda: now)
        told = [line for line in call(*words).err.splitlines() if "clock" in line]
    assert len(told) == bool(said)
    assert said in "".join(told)


def test_the_screen_asks_for_the_day_each_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[AppregApp] = []
    monkeypatch.setattr(AppregApp, "run", lambda app, **_: shown.append(app))
    monkeypatch.setenv("APPREG_SETTINGS", str(tmp_path / "settings.toml"))
    open_on_screen(tmp_path / "r.sqlite", Console())
    (app,) = shown
    assert app._time.is_live
    assert app.today == local_today()
