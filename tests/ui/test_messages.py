"""What is told in passing stands in rows of its own: never over what is to be read."""

from collections.abc import Callable
from pathlib import Path

import pytest
from textual.geometry import Region
from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets._toast import Toast, ToastRack

from appreg.ui.app import AppregApp
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from tests.ui.bench_register import KETTLE, BenchTable, lay_table

SENTENCE = "The terminal has no room for it, and so this sentence is a long one that takes two lines at eighty columns."
LONG = f"/{'far-away/' * 20}register.sqlite is a path that has to be broken."
PLACES = {
    "sites": (),
    "form": ("f2", "n", "ctrl+s"),
    "palette": ("ctrl+p",),
    "bench": ("bench",),
    "remark": ("bench", "x"),
    "plate": ("bench", "ctrl+e"),
    "question": ("question",),
}


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "r.sqlite", ("Kettle", KETTLE))


async def go_to(pilot: Pilot[None], app: AppregApp, table: BenchTable, place: str) -> None:
    await pilot.pause()
    for step in PLACES[place]:
        if step == "bench":
            app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        elif step == "question":
            app.push_screen(PickScreen("Which of these?", [Answer(str(n), f"answer {n}") for n in range(30)]))
        else:
            await pilot.press(step)
        for _ in range(3):
            await pilot.pause()


def parts(app: AppregApp) -> list[Widget]:
    """What is drawn on the screen on top, but for its messages."""
    drawn = [
        each for each in app.screen.walk_children(Widget) if each.is_on_screen and not each.children and each.region
    ]
    return [each for each in drawn if not any(isinstance(above, ToastRack) for above in each.ancestors_with_self)]


def seen_of(widget: Widget) -> Region:
    """What of a widget is not scrolled out of sight."""
    return widget.screen.find_widget(widget).visible_region


@pytest.mark.parametrize("size", [(60, 20), (120, 40)], ids=["60x20", "120x40"])
async def test_a_message_covers_nothing_wherever_it_is_told(table: BenchTable, size: tuple[int, int]) -> None:
    for place in PLACES:
        app = table.app()
        async with app.run_test(size=size, notifications=True) as pilot:
            await go_to(pilot, app, table, place)
            before = {type(each) for each in parts(app)}
            app.warn(SENTENCE)
            app.say("Done.")
            for _ in range(3):
                await pilot.pause()
            told = [toast.region for toast in app.screen.query(Toast)]
            assert len(told) == 2, place
            assert all(region.area for region in told), place
            seen = [each for each in parts(app) if seen_of(each)]
            covered = [(each, place) for each in seen for region in told if seen_of(each).overlaps(region)]
            assert len(seen) > 2
            assert not covered
            assert before <= {type(each) for each in parts(app)}, place


async def test_a_long_path_in_a_message_is_shown_to_its_end(table: BenchTable) -> None:
    app = table.app()
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await pilot.pause()
        app.warn(LONG)
        for _ in range(3):
            await pilot.pause()
        seen = "".join(line.text for line in app.screen._compositor.render_strips())
        assert "to be broken." in seen


async def test_once_the_last_message_has_gone_the_screen_stands_as_before(table: BenchTable) -> None:
    app = table.app()
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        await go_to(pilot, app, table, "bench")
        before = {type(each): each.region for each in parts(app)}
        app.notify("Done.", timeout=0.05)
        await pilot.pause(0.02)
        await pilot.pause(0.3)
        assert not app.screen.query(Toast)
        assert {type(each): each.region for each in parts(app)} == before


async def test_the_same_message_again_stands_once_and_anew(app_factory: Callable[[], AppregApp]) -> None:
    app = app_factory()
    async with app.run_test(size=(100, 30), notifications=True) as pilot:
        await pilot.pause()
        for _ in range(20):
            app.say("There is nothing here to open.")
            app.warn("Not kept.")
        app.say("There is nothing here to open either.")
        await pilot.pause()
        said = [each.message for each in app._notifications]
        assert said == ["There is nothing here to open.", "Not kept.", "There is nothing here to open either."]
        await pilot.pause(0.2)
        shown = [toast._notification.message for toast in app.screen.query(Toast)]
        assert sorted(shown) == sorted(said)
