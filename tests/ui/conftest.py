"""What the tests of the screens share: a register with mixed items, the app on it, the cautions read."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.app import App

from appreg.register.opening.register_file import Register
from appreg.ui import scanning_app
from appreg.ui.app import AppregApp
from appreg.ui.screens.sites import sites_screen
from tests.postgres_server import ON_SERVER
from tests.ui.list_register import app_on, build_register
from tests.ui.quick_keys import press_in_turn
from tests.ui.quick_pilots import draw_where_the_pilot_waits

PATIENCE = 1000
"""Milliseconds from one key of a scan to the next, for a machine that does other things besides."""


@pytest.fixture
def cautions_unread() -> None:
    """Ask for this in a test that is about the cautions."""


@pytest.fixture(autouse=True)
def cautions_read(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every test that does not ask for cautions_unread starts as on a second day."""
    if "cautions_unread" not in request.fixturenames:
        monkeypatch.setattr(sites_screen, "cautions_confirmed", lambda *_: True)


@pytest.fixture(autouse=True)
def named_as_a_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """The pictures bear the names of files; where the tests run on a server, a register is called by the file it stands for."""
    if ON_SERVER:
        from appreg.register.engine.server_engine import ServerEngine  # noqa: PLC0415 - files need no driver

        monkeypatch.setattr(ServerEngine, "name", property(lambda engine: engine.path.name))


@pytest.fixture(autouse=True)
def drawn_where_the_pilot_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """A seventh of what pilots take went into frames between two waits, which nobody could look at."""
    draw_where_the_pilot_waits(monkeypatch)


@pytest.fixture(autouse=True)
def keys_in_turn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Textual's pilot sleeps at least forty thousandths of a second after each key; the app tells when it is done with one."""
    monkeypatch.setattr(App, "_press_keys", press_in_turn)


@pytest.fixture
def patient_scans(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ask for this where keys make up a scan: a busy machine brings them more slowly than any reader does."""
    monkeypatch.setattr(scanning_app, "WAITS", PATIENCE)


@pytest.fixture
def built_register(tmp_path: Path) -> Register:
    """Two sites with twelve items in every state."""
    return build_register(tmp_path / "built.appreg")


@pytest.fixture
def app_factory(built_register: Register) -> Callable[[], AppregApp]:
    """Build the app on that register, as often as a test starts it."""
    return lambda: app_on(built_register)
