"""Keys pressed as quickly as the app works them off: it tells itself when all that a key set going is done.

Textual's own pilot sleeps until the process uses hardly any time, which on a machine that does other things is most of a test.
"""

import asyncio
import time
import unicodedata
from collections.abc import Iterable
from contextlib import suppress
from typing import Any, Final, cast

from textual import events
from textual._wait import wait_for_idle
from textual.app import App
from textual.keys import REPLACED_KEYS, _character_to_key, _get_unicode_name_from_key
from textual.pilot import Pilot
from textual.worker import WorkerCancelled

from appreg.ui.app import AppregApp
from appreg.ui.scanning_app import WAITS
from tests.ui.quick_pilots import draw

_PATIENCE: Final = 30.0
"""Seconds that all that a key set going may take."""

_PRESS_KEYS: Final = App._press_keys

_GLANCE: Final = 0.002
"""Seconds from one look to the next: looking all the time would take the time that the app needs."""


_HELD_BACK: Final = 1.5 * WAITS / 1000
"""Seconds within which a key that might have begun a scan has been let go."""


async def press(pilot: Pilot[Any], *keys: str) -> None:
    """Press keys by name, each when the one before is done with, and wait for the last."""
    app = cast("AppregApp", pilot.app)
    for key in keys:
        assert app._driver is not None
        app._driver.send_message(_event(app, key))
        await _worked_off(app)
    await rest(pilot)


async def press_in_turn(app: App[Any], keys: Iterable[str]) -> None:
    """What a pilot does with keys: each waits for the one before, and the process is idle at the end, not after each.

    An app of which nobody knows when it has worked off a key gets them as Textual's own pilot gives them.
    """
    if not isinstance(app, AppregApp):
        await _PRESS_KEYS(app, keys)
        return
    for key in keys:
        assert app._driver is not None
        app._driver.send_message(_event(app, key))
        await _worked_off_or_failed(app)
        if app._exception is not None:
            return  # the pilot raises it
        await app._animator.wait_until_complete()
    end = time.monotonic() + _HELD_BACK
    while app._held and time.monotonic() < end:  # noqa: ASYNC110 - as before: the app tells nobody of it
        await asyncio.sleep(_GLANCE)
    await _worked_off(app)
    await wait_for_idle(0)


async def rest(pilot: Pilot[Any]) -> None:
    """Wait until nothing is left to do, those at work in threads included."""
    app = cast("AppregApp", pilot.app)
    await pilot._wait_for_screen(_PATIENCE)
    with suppress(WorkerCancelled):
        await app.workers.wait_for_complete()
    await _worked_off(app)
    app.screen._on_timer_update()
    draw(app)


async def _worked_off_or_failed(app: AppregApp) -> None:
    """Nobody works off the keys of an app that has failed."""
    exception = cast("asyncio.Event", app._exception_event)
    done, failed = asyncio.create_task(_worked_off(app)), asyncio.create_task(exception.wait())
    _, pending = await asyncio.wait((done, failed), return_when=asyncio.FIRST_COMPLETED)
    for task in pending:
        task.cancel()
    if done.done():
        done.result()


async def _worked_off(app: AppregApp) -> None:
    await asyncio.sleep(_GLANCE)
    while app._waiting or app.is_settling:  # noqa: ASYNC110 - the app tells nobody of it
        await asyncio.sleep(_GLANCE)
    await app.worked_off(_PATIENCE)


def _event(app: AppregApp, key: str) -> events.Key:
    name = _character_to_key(key) if len(key) == 1 and not key.isalnum() else key
    try:
        character: str | None = unicodedata.lookup(_get_unicode_name_from_key(REPLACED_KEYS.get(name, name)))
    except KeyError:
        character = name if len(name) == 1 else None
    event = events.Key(name, character)
    event.set_sender(app)
    return event
