"""What is no longer shown is let go, and memory is searched only where no key waits for its frame."""

import asyncio
import gc
import weakref

import pytest
from textual.app import App, ComposeResult
from textual.containers import Vertical

from appreg.ui.orderly_app import OrderlyApp
from appreg.ui.shell import idle_collecting
from appreg.ui.shell.idle_collecting import FRAME_OUT, IdleCollecting
from appreg.ui.widgets.plain_input import PlainInput

ROUNDS, ARRANGED = 12, 5
"""The toolkit remembers the last few arrangements of a container, and with them what stood there."""


class FieldsApp(App[None]):
    """Holds a field among others."""

    def compose(self) -> ComposeResult:
        """One field that stays, and a place for others."""
        yield PlainInput()
        yield Vertical()


class OrderlyFields(OrderlyApp):
    """Hands on one key after another to a field."""

    def compose(self) -> ComposeResult:
        """One field."""
        yield PlainInput()


async def test_fields_that_were_removed_do_not_stay_in_memory() -> None:
    app = FieldsApp()
    async with app.run_test() as pilot:
        place = app.query_one(Vertical)
        known: list[weakref.ref[PlainInput]] = []
        for _ in range(ROUNDS):
            fields = [PlainInput() for _ in range(3)]
            known += [weakref.ref(field) for field in fields]
            await place.mount_all(fields)
            await pilot.pause()
            fields.clear()
            await place.remove_children()
            await pilot.pause()
        gc.collect()
        assert sum(field() is not None for field in known) <= 3 * ARRANGED


class Clock:
    """Tells what it is told."""

    now = 0.0

    def monotonic(self) -> float:
        """The time."""
        return self.now


@pytest.fixture(name="clock")
def _clock(monkeypatch: pytest.MonkeyPatch) -> Clock:
    clock = Clock()
    monkeypatch.setattr(idle_collecting, "time", clock)
    return clock


def test_everything_is_searched_only_once_nobody_types(clock: Clock, monkeypatch: pytest.MonkeyPatch) -> None:
    before, searched = gc.get_threshold(), []
    monkeypatch.setattr(gc, "collect", lambda: searched.append(clock.now))
    monkeypatch.setattr(gc, "get_count", lambda: (0, 0, 3))
    collecting = IdleCollecting()
    clock.now = 10.0
    collecting.key_came()
    collecting.look()
    clock.now = 10.3
    collecting.look()
    assert searched == []
    clock.now = 11.0
    collecting.look()
    assert searched == [11.0]
    collecting.end()
    assert gc.get_threshold() == before


async def test_everything_is_searched_in_the_gap_behind_a_key_and_never_before_its_frame(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    searched: list[str] = []
    monkeypatch.setattr(gc, "collect", lambda: searched.append("all"))
    monkeypatch.setattr(gc, "get_count", lambda: (0, 0, 3))
    collecting = IdleCollecting()
    for _ in range(3):
        collecting.key_came()
        collecting.key_done()
        assert searched == []
    await asyncio.sleep(FRAME_OUT * 2)
    assert searched == ["all"]
    collecting.key_came()
    collecting.key_done()
    collecting.key_came()
    await asyncio.sleep(FRAME_OUT * 2)
    assert searched == ["all"]
    collecting.key_done()
    collecting.end()
    await asyncio.sleep(FRAME_OUT * 2)
    assert searched == ["all"]


async def test_a_key_that_is_worked_off_has_the_gap_behind_it_used(monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[str] = []
    monkeypatch.setattr(OrderlyApp, "key_done", lambda _app: done.append("done"))
    app = OrderlyFields()
    async with app.run_test() as pilot:
        await pilot.pause()
        done.clear()
        for key in ("x", "tab"):
            await pilot.press(key)
            await app.worked_off(2)
            assert done
            done.clear()
