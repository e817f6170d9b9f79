"""What makes pilots quick without changing what they see.

Style sheets are parsed once, only busy widgets are waited for, a frame is drawn when the pilot waits, not between, and
what a new callback takes is counted from its code.
"""

import asyncio
import inspect
from collections.abc import Callable, Iterator
from types import FunctionType
from typing import Any, Final, cast

import pytest
from textual import _callback
from textual.app import App
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.message_pump import MessagePump
from textual.pilot import Pilot, WaitForScreenTimeout
from textual.screen import Screen

_REFRESH: Final = Screen._compositor_refresh
_COUNT: Final = _callback._count_parameters
_TAKES_MORE: Final = inspect.CO_VARARGS | inspect.CO_VARKEYWORDS


@pytest.fixture(scope="session", autouse=True)
def _styles_read_once() -> Iterator[None]:
    """The same style sheet with the same colours is parsed once, and not by every app and for every turn of the theme."""
    parse, parsed = Stylesheet._parse_rules, dict[Any, Any]()

    def parse_once(sheet: Stylesheet, css: str, read_from: Any, *rest: Any, **named: Any) -> Any:
        key = (css, read_from, rest, *sorted(named.items()), *sorted(sheet._variables.items()))
        if key not in parsed:
            parsed[key] = parse(sheet, css, read_from, *rest, **named)
        return parsed[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", parse_once)
        yield


@pytest.fixture(scope="session", autouse=True)
def _busy_widgets_waited_for() -> Iterator[None]:
    """Textual wakes every widget of the screen at each pause and waits for all; those that wait for a message are at rest."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Pilot, "_wait_for_screen", _wait_until_drawn)
        yield


@pytest.fixture(scope="session", autouse=True)
def _quickly_looked_up() -> Iterator[None]:
    """Textual puts together the whole signature of each new callback, and asks each rule of a style sheet which it is."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(_callback, "_count_parameters", count_parameters)
        patch.setattr(RuleSet, "__hash__", object.__hash__)  # by identity as before, without a call into Python
        yield


def count_parameters(func: Callable[..., Any]) -> int:
    """What its signature has; of a plain function its code tells that as well."""
    if type(func) is not FunctionType or vars(func) or func.__code__.co_flags & _TAKES_MORE:
        return _COUNT(func)
    return func.__code__.co_argcount + func.__code__.co_kwonlyargcount


def draw_where_the_pilot_waits(patch: pytest.MonkeyPatch) -> None:
    """A test can look only where its pilot waits: what changed until then is laid out at once, and drawn together there."""
    pause = Pilot.pause

    async def pause_and_draw(pilot: Pilot[Any], delay: float | None = None) -> None:
        await pause(pilot, delay)
        draw(pilot.app)

    patch.setattr(Screen, "_compositor_refresh", _put_off)
    patch.setattr(Pilot, "pause", pause_and_draw)


def draw(app: App[Any]) -> bool:
    """Draw what was put off; tell whether there was anything."""
    waits = app.is_running and bool(app._screen_stack) and bool(app.screen._compositor._dirty_regions)
    if waits:
        _REFRESH(app.screen)
    return waits


def _put_off(screen: Screen[Any]) -> None:
    app = screen.app
    if screen is not app.screen or not app.is_headless or "_display" in vars(app):
        _REFRESH(screen)
        return
    screen._dirty_widgets.clear()  # the compositor keeps their regions
    app._update_mouse_over(screen)


async def _wait_until_drawn(pilot: Pilot[Any], timeout: float = 30.0) -> bool:  # noqa: ASYNC109 - as Textual has it
    waited = await _wait_for_the_busy(pilot, timeout)
    if waited and draw(pilot.app):
        return await _wait_for_the_busy(pilot, timeout)  # for what asks for more when it is drawn
    return waited


async def _wait_for_the_busy(pilot: Pilot[Any], timeout: float = 30.0) -> bool:  # noqa: ASYNC109 - as Textual has it
    app = pilot.app
    if not app.is_running or not app._screen_stack:
        return False
    left = 0
    done, failed = asyncio.Event(), cast("asyncio.Event", app._exception_event)

    def one_less() -> None:
        nonlocal left
        left -= 1
        if not left:
            done.set()

    for pump in (app, *app.screen.walk_children(with_self=True)):
        if not _is_at_rest(pump) and pump.call_later(one_less):
            left += 1
    if not left:
        return True
    waiting = [asyncio.create_task(each.wait()) for each in (done, failed)]
    ended, pending = await asyncio.wait(waiting, timeout=timeout, return_when=asyncio.FIRST_COMPLETED)
    for task in pending:
        task.cancel()
    if not ended:
        raise WaitForScreenTimeout("Timed out while waiting for widgets to process pending messages.")
    return not left


def _is_at_rest(pump: MessagePump) -> bool:
    """Tell whether a widget waits for its next message, and nothing is put off until it does."""
    queue: Any = pump._message_queue
    waits = bool(queue.ready_event._waiters)
    return waits and queue.empty() and not pump._next_callbacks
