"""What makes pilots quick without changing what they see: style sheets parsed once, and only busy widgets waited for."""

import asyncio
from collections.abc import Iterator
from typing import Any, cast

import pytest
from textual.css.stylesheet import Stylesheet
from textual.message_pump import MessagePump
from textual.pilot import Pilot, WaitForScreenTimeout


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
        patch.setattr(Pilot, "_wait_for_screen", _wait_for_the_busy)
        yield


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
