"""One frame a key: what a key sets going is drawn once it is done, and never later than a moment that is felt."""

import asyncio
import time
from pathlib import Path

import pytest
from textual._compositor import LayoutUpdate
from textual.geometry import Size
from textual.screen import Screen

from appreg.ui.shell import held_frames
from appreg.ui.shell.held_frames import LONGEST, FrameHold
from appreg.ui.shell.place_line import PlaceLine
from tests.ui.bench_register import LAMP, lay_table


class Clock:
    """Tells what it is told."""

    now = 5.0

    def monotonic(self) -> float:
        """The time."""
        return self.now


def test_frames_wait_no_longer_however_many_keys_come(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = Clock()
    monkeypatch.setattr(held_frames, "time", clock)
    hold = FrameHold()
    assert not hold.waits
    hold.begin()
    clock.now += LONGEST / 2
    hold.begin()
    assert hold.waits
    clock.now += LONGEST / 2 + 0.001
    assert not hold.waits


async def test_a_digit_on_the_bench_is_drawn_once_with_all_that_follows_from_it(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Desk lamp", LAMP))
    app = table.app()
    async with app.run_test(size=(100, 40)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.press("space", "greater_than_sign", "2", "9")
        await pilot.pause(LONGEST)
        drawn: list[str] = []
        app.post_display_hook = lambda: drawn.append("frame")  # type: ignore[method-assign]
        await pilot.press("9")
        await pilot.pause(LONGEST)
        assert 1 <= len(drawn) <= 2  # sizes that changed are told after the frame, and drawn where that changes a cell
    table.register.close()


async def test_a_key_that_goes_to_another_line_draws_the_parts_it_changes_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = lay_table(tmp_path / "register.db", ("Desk lamp", LAMP))
    app = table.app()
    drawn: list[object] = []
    async with app.run_test(size=(100, 40)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.press("space")
        await pilot.pause(0.1)
        monkeypatch.setattr(app, "_display", lambda _screen, what: drawn.append(what))
        await pilot.press("down", "up")
        await pilot.pause(0.1)
        assert drawn
        assert not any(isinstance(each, LayoutUpdate) for each in drawn)
    table.register.close()


async def test_a_screen_is_laid_out_and_drawn_in_steps_of_their_own_and_loses_nothing_that_changes_between(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = lay_table(tmp_path / "register.db", ("Desk lamp", LAMP))
    app = table.app()
    steps: list[str] = []
    lay_out, draw = Screen._refresh_layout, Screen._compositor_refresh

    def laying_out(screen: Screen[None], size: Size | None = None, scroll: bool = False) -> None:
        steps.append("laid out")
        asyncio.get_running_loop().call_soon(steps.append, "another step")
        lay_out(screen, size, scroll)
        screen.query_one(PlaceLine).right = "told between"

    def drawing(screen: Screen[None]) -> None:
        steps.append("drawn")
        draw(screen)

    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("v")
        await pilot.pause(LONGEST)
        monkeypatch.setattr(Screen, "_refresh_layout", laying_out)
        monkeypatch.setattr(Screen, "_compositor_refresh", drawing)
        app.screen.refresh(layout=True)
        await pilot.pause(LONGEST)
        assert steps[:3] == ["laid out", "another step", "drawn"]
        top = "".join(segment.text for segment in app.screen._compositor.render_strips()[0])
        assert "told between" in top
    table.register.close()


async def test_frames_of_a_screen_that_a_key_opens_wait_until_it_is_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = lay_table(tmp_path / "register.db", ("Desk lamp", LAMP))
    app = table.app()
    drawn: list[str] = []
    draw = Screen._compositor_refresh

    def drawing(screen: Screen[None]) -> None:
        drawn.append(type(screen).__name__)
        draw(screen)

    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.pause(LONGEST)
        monkeypatch.setattr(Screen, "_compositor_refresh", drawing)
        app.hold._until = time.monotonic() + 60
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.pause(LONGEST)
        assert drawn == []
        app.hold.end(app)
        await pilot.pause(LONGEST)
        assert "BenchScreen" in drawn
        assert "HR-001" in "\n".join(line.text for line in app.screen._compositor.render_strips())
    table.register.close()
