"""Wait until all that a key has set going is done: messages handled, screens standing, the keyboard where it belongs."""

import asyncio
import time
from collections.abc import Iterator
from typing import Any, Final

from textual.app import App
from textual.message_pump import MessagePump

from appreg.ui.widgets.virtual_rows import VirtualRows

QUIET_ROUNDS: Final = 3
"""Rounds in a row without a message: one handler may wake another that was asked just before."""
LONGEST: Final = 10.0
"""Seconds after which the next key is worked off all the same, so that no fault can lock the keyboard."""
_LOOK_AGAIN: Final = 0.05
"""Seconds after which a part that has not answered is looked at: it may have gone."""
_ROWS_FOUND: Final = 0.005


async def settled(app: App[Any], longest: float = LONGEST) -> None:
    """Return once everything between the keyboard and the screen on top is at rest."""
    end = time.monotonic() + longest
    quiet = 0
    while quiet < QUIET_ROUNDS and time.monotonic() < end and not app._exit:  # noqa: SLF001 - no public name for it
        quiet = quiet + 1 if await _is_quiet(app) else 0


async def _is_quiet(app: App[Any]) -> bool:
    """Ask every part a key passes through; tell whether none of them had anything to do."""
    quiet = True
    for part in list(_parts(app)):
        quiet = await _rested(app, part) and quiet
    if isinstance(app.focused, VirtualRows) and app.focused.is_finding:
        await asyncio.sleep(_ROWS_FOUND)
        return False
    return quiet


def _parts(app: App[Any]) -> Iterator[MessagePump]:
    """The field with the keyboard and what it stands in, up to the screen and the app."""
    if app.focused is not None:
        yield from app.focused.ancestors_with_self
    else:
        yield app.screen
        yield app


async def _rested(app: App[Any], part: MessagePump) -> bool:
    """Wait until a part has handled all its messages; tell whether there were none."""
    found_none = part.message_queue_size == 0
    while True:
        reached = asyncio.Event()
        left: list[int] = []

        def answer(reached: asyncio.Event = reached, left: list[int] = left) -> None:
            left.append(part.message_queue_size)
            reached.set()

        if not part.call_later(answer) or not await _answered(app, part, reached):
            return False
        if left == [0]:
            return found_none
        found_none = False


async def _answered(app: App[Any], part: MessagePump, reached: asyncio.Event) -> bool:
    """Wait for a part's answer; False where it has gone meanwhile."""
    while not reached.is_set():
        try:
            await asyncio.wait_for(reached.wait(), _LOOK_AGAIN)
        except TimeoutError:
            if not app.is_running or not (part is app or part.is_attached):
                return False
    return True
