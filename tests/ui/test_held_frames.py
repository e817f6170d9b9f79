"""One frame a key: what a key sets going is drawn once it is done, and never later than a moment that is felt."""

from pathlib import Path

import pytest
from textual._compositor import LayoutUpdate

from appreg.ui.shell import held_frames
from appreg.ui.shell.held_frames import LONGEST, FrameHold
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
    clock.now += LONGEST / 2
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
