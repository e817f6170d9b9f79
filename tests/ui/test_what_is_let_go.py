"""What is no longer shown is let go, and memory is searched only where no key waits for its frame."""

import asyncio
import gc
import sys
import weakref
from pathlib import Path

import pytest
from textual.app import App, ComposeResult
from textual.containers import Vertical

from appreg.core.records.kept_records import Inspection
from appreg.ui.orderly_app import OrderlyApp
from appreg.ui.shell import idle_collecting
from appreg.ui.shell.idle_collecting import ALONE_AFTER, FRAME_OUT, MUCH_MORE, WHOLE_EVERY, IdleCollecting
from appreg.ui.widgets.plain_input import PlainInput
from tests.ui.bench_register import LAMP, lay_table

LEFT = 8000
"""Objects that a key leaves here."""
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


@pytest.fixture(name="searches")
def _searches(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is done about garbage, in words; as much as LEFT is made and kept before each search."""
    done: list[str] = []
    monkeypatch.setattr(gc, "collect", lambda generation=2: done.append("all" if generation == 2 else "young"))
    monkeypatch.setattr(gc, "freeze", lambda: done.append("left out"))
    monkeypatch.setattr(gc, "unfreeze", lambda: done.append("taken in"))
    monkeypatch.setattr(gc, "get_count", lambda: (LEFT, 0, 0))
    monkeypatch.setattr(gc, "get_objects", lambda: [None] * LEFT)
    return done


def test_everything_is_searched_only_once_nobody_types(clock: Clock, searches: list[str]) -> None:
    before = gc.get_threshold()
    collecting = IdleCollecting()
    collecting._gathered = 10 * LEFT
    searches.clear()
    clock.now = 9.0
    collecting.key_came()
    clock.now = 10.0
    collecting.look()
    collecting._at_work, collecting._key_at = False, clock.now
    clock.now = 10.3
    collecting.look()
    assert searches == []
    clock.now = 11.0
    collecting.look()
    assert searches == ["all"]
    collecting.look()
    assert searches == ["all"]
    collecting.end()
    assert gc.get_threshold() == before


def test_what_was_left_out_is_searched_where_the_program_is_left_alone_and_holds_much_more(
    clock: Clock, searches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    held = [1000]
    monkeypatch.setattr(sys, "getallocatedblocks", lambda: held[0])
    collecting = IdleCollecting()
    searches.clear()

    def left_alone(seconds: float) -> list[str]:
        collecting.key_came()
        collecting._at_work = False
        clock.now += seconds
        collecting.look()
        found, searches[:] = searches[:], []
        return [each for each in found if each != "all"]

    clock.now = WHOLE_EVERY
    held[0] += MUCH_MORE + 1
    collecting.key_came()
    clock.now += ALONE_AFTER
    collecting.look()
    assert searches == [], "what the key set going is not done"
    assert left_alone(ALONE_AFTER + 1) == ["taken in", "left out"]
    clock.now += 2 * WHOLE_EVERY
    held[0] += MUCH_MORE + 1
    collecting.look()
    assert searches == [], "nothing was done since"
    assert left_alone(ALONE_AFTER - 1) == []
    assert left_alone(ALONE_AFTER + 1) == ["taken in", "left out"]
    clock.now += WHOLE_EVERY
    held[0] += MUCH_MORE
    assert left_alone(ALONE_AFTER + 1) == [], "a day's work adds no more"
    held[0] += 1
    monkeypatch.setitem(sys.modules, "a module more", sys)
    assert left_alone(ALONE_AFTER + 1) == [], "what was loaded is no garbage"
    held[0] += MUCH_MORE + 1
    assert left_alone(ALONE_AFTER + 1)[0] == "taken in"
    collecting.end()


async def test_a_search_comes_in_the_gap_behind_a_key_and_never_before_its_frame(searches: list[str]) -> None:
    collecting = IdleCollecting()
    searches.clear()
    for _ in range(3):
        collecting.key_came()
        collecting.key_done()
        assert searches == []
    await asyncio.sleep(FRAME_OUT * 2)
    assert searches == ["young"]
    collecting.key_came()
    collecting.key_done()
    collecting.key_came()
    await asyncio.sleep(FRAME_OUT * 2)
    assert searches == ["young"]
    collecting.key_done()
    collecting.end()
    await asyncio.sleep(FRAME_OUT * 2)
    assert searches == ["young"]


async def test_everything_is_searched_once_much_has_gathered_and_modules_are_left_out_of_the_next(
    searches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    collecting = IdleCollecting()
    searches.clear()
    for _ in range(4):
        collecting._search()
    assert searches == ["young", "young", "young", "all"]
    monkeypatch.setitem(sys.modules, "loaded_for_another_screen", sys)
    for _ in range(8):
        collecting._search()
    assert searches[4:] == ["young", "young", "young", "all", "left out", "young", "young", "young", "all"]
    collecting.end()


async def test_what_a_full_search_leaves_in_numbers_is_left_out_of_the_next(
    searches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    collecting = IdleCollecting()
    searches.clear()
    monkeypatch.setattr(gc, "get_objects", lambda: [None] * 3 * LEFT)
    for _ in range(4):
        collecting._search()
    assert searches == ["young", "young", "young", "all", "left out"]
    collecting.end()


async def test_nothing_is_searched_under_a_save_or_a_key_of_the_walk_round(tmp_path: Path) -> None:
    """What they make and keep until they are done is less than what Python searches after by itself."""
    table = lay_table(tmp_path / "register.db", ("Desk lamp", LAMP), ("Desk lamp", LAMP))
    app = table.app()
    under: list[int] = []
    async with app.run_test(size=(120, 40)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.press("space", "greater_than_sign", "2", "9", "9", "enter", "space")
        collecting = IdleCollecting()
        gc.collect()
        gc.callbacks.append(lambda phase, _info: under.append(0) if phase == "start" else None)
        try:
            await pilot.press("enter")
            await pilot.press("space", "greater_than_sign", "2")
        finally:
            del gc.callbacks[-1]
            collecting.end()
    assert len(table.register.find(Inspection)) == 1
    assert under == []
    table.register.close()


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
