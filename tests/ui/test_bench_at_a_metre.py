"""The Bench as it is seen from where the item is held: what is large, what is never cut, what stands beside it."""

from collections.abc import Iterable
from pathlib import Path

import pytest
from textual.geometry import Size
from textual.pilot import Pilot
from textual.widget import Widget

from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_room import room_classes
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.bench.visit_walk import VisitWalk
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.widgets.large_line import LargeLine
from appreg.ui.widgets.outcome_block import OutcomeBlock, drawn_outcome
from tests.ui.bench_register import KETTLE, LAMP, RCD_LEAD, BenchTable, bench_of, lay_table
from tests.ui.test_large_line import holds

SIZES = [(60, 20), (80, 24), (120, 40), (160, 50), (200, 60)]
CUT = "cord cut near the plug and taped over"


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "r.sqlite", ("Desk lamp", LAMP), ("Kettle", KETTLE), ("Reel with RCD", RCD_LEAD))


async def at_bench(pilot: Pilot[None], table: BenchTable, place: int, keys: Iterable[str] = ()) -> BenchScreen:
    assert isinstance(pilot.app, AppregApp)
    pilot.app.open_bench(visit=table.visit.uid, appliance=table.uid(place))
    await press(pilot)
    await press(pilot, *keys)
    return bench_of(pilot.app)


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


def picture(pilot: Pilot[None]) -> str:
    return "\n".join(line.text for line in pilot.app.screen._compositor.render_strips())


def is_whole(widget: Widget) -> bool:
    """All of a part is on the screen, and nothing lies over it."""
    screen = widget.screen
    seen = screen.find_widget(widget)
    return seen.visible_region == seen.region and screen.region.contains_region(widget.region)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_tag_check_reading_limit_and_outcome_are_large_before_and_after_a_reading(
    table: BenchTable, size: tuple[int, int]
) -> None:
    async with table.app().run_test(size=size) as pilot:
        await at_bench(pilot, table, 1)
        assert all(holds(picture(pilot), part) or holds(picture(pilot), part, tall=True) for part in ("HR-002", "PLUG"))
        assert "HR-002  Kettle" in picture(pilot), "to be copied, or heard"
        await press(pilot, "space")
        assert holds(picture(pilot), "___") or holds(picture(pilot), "___", tall=True)
        assert holds(picture(pilot), "INCOMPLETE") or holds(picture(pilot), "INCOMPLETE", tall=True)
        await press(pilot, *"0.08")
        wanted = ("0.08", "≤0.1208", "√", *(["EARTH"] if size[0] >= 80 else []))
        assert all(holds(picture(pilot), part) or holds(picture(pilot), part, tall=True) for part in wanted)
        await press(pilot, "enter", *">299", "enter", "space")
        assert holds(picture(pilot), "PASS") or holds(picture(pilot), "PASS", tall=True)
        assert holds(picture(pilot), "HR-003") or holds(picture(pilot), "HR-003", tall=True), "what comes next"


def test_no_class_by_which_the_bench_goes_is_one_that_the_app_gives_every_screen() -> None:
    given = {name for _, name in (*AppregApp.HORIZONTAL_BREAKPOINTS, *AppregApp.VERTICAL_BREAKPOINTS)}
    assert given.isdisjoint(room_classes(Size(80, 24)))


@pytest.mark.parametrize("size", [(60, 15), *SIZES], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_outcome_never_breaks_apart(table: BenchTable, size: tuple[int, int]) -> None:
    async with table.app().run_test(size=size) as pilot:
        for place, keys in ((2, ()), (2, ("space", *"9")), (0, ("x", *CUT, "enter", "end"))):
            screen = await at_bench(pilot, table, place, keys)
            block = screen.query_one(OutcomeBlock)
            assert is_whole(block)
            rows = [drawn_outcome(block.outcome, tall=tall) for tall in (False, True)]
            lines = picture(pilot).splitlines()
            assert any(all(any(row.rstrip() in line for line in lines) for row in drawn) for drawn in rows)
            await press(pilot, "escape")


@pytest.mark.parametrize("place", [0, 1, 2])
async def test_what_is_missing_is_one_plain_line_on_the_narrowest_terminal(table: BenchTable, place: int) -> None:
    async with table.app().run_test(size=(60, 20)) as pilot:
        await at_bench(pilot, table, place)
        (line,) = [line for line in picture(pilot).splitlines() if "still to do: " in line]
        assert "…" not in line
        assert "look it over" in line
        assert "works" in line or "and 5 more" in line


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_failure_says_what_was_said_of_it_and_a_reading_its_limit(
    table: BenchTable, size: tuple[int, int]
) -> None:
    async with table.app().run_test(size=size) as pilot:
        await at_bench(pilot, table, 0, ("right", "right", "x", *CUT, "enter", "space", "enter"))
        said = " ".join(picture(pilot).split())
        assert "cord: cord cut near the plug" in said
        assert holds(picture(pilot), "CORD") or holds(picture(pilot), "CORD", tall=True)
        await press(pilot, "escape")
        await at_bench(pilot, table, 1, ("space", *"0.62"))
        assert "earth 0.62 Ω, limit ≤ 0.1208 Ω" in " ".join(picture(pilot).split())


async def test_a_remark_of_a_failure_is_seen_afterwards(table: BenchTable) -> None:
    async with table.app().run_test(size=(120, 40)) as pilot:
        await at_bench(pilot, table, 0, ("right", "right", "x", *CUT, "enter", "ctrl+s", "ctrl+s"))
        said = " ".join(picture(pilot).split())
        assert "kept HR-001 fail, ^z undo" in said
        assert "visual: cord: cord cut" in said
        await press(pilot, "pageup")
        assert f"cord: {CUT}" in " ".join(picture(pilot).split())
        await press(pilot, "pagedown", "ctrl+x", "ctrl+s", "ctrl+x", "ctrl+s")
        assert f"HR-001  Desk lamp: visual: cord: {CUT}" in picture(pilot)
        await press(pilot, "escape")
        pilot.app.push_screen(ItemScreen(appliance=table.uid(0)))
        await press(pilot)
        assert f"failed: visual: cord: {CUT}" in picture(pilot)


async def test_the_walk_stands_beside_the_lines_where_there_is_room(table: BenchTable) -> None:
    async with table.app().run_test(size=(120, 40)) as pilot:
        screen = await at_bench(pilot, table, 1, ("space", *"0.62", "enter", "enter", "enter"))
        walk = screen.query_one(VisitWalk)
        assert is_whole(walk)
        rows = str(walk.render()).splitlines()
        assert "by room, then tag" in rows[0]
        assert rows[1] == "Flat 2, kitchen"
        assert [row.split()[0] for row in rows[2:5]] == ["HR-001", "HR-002", "►"]
        assert rows[3].endswith("FAIL")
        assert rows[4].split()[-2:] == ["to", "do"]
        await press(pilot, "pageup")
        assert "earth         0.62 Ω, FAIL" in picture(pilot)
        await pilot.resize_terminal(80, 24)
        await press(pilot)
        assert not screen.query_one(VisitWalk).is_on_screen
        assert "item 2 of 3, by room" in picture(pilot)


async def test_every_size_is_taken_up_when_the_terminal_changes(table: BenchTable) -> None:
    async with table.app().run_test(size=(200, 60)) as pilot:
        screen = await at_bench(pilot, table, 1, ("space", *"0.08"))
        heights = {}
        for size in reversed([(60, 15), *SIZES]):
            await pilot.resize_terminal(*size)
            await press(pilot)
            block, line = screen.query_one(OutcomeBlock), screen.query_one(LargeLine)
            heights[size] = (line.size.height, block.size.height)
            assert is_whole(block), size
            assert size == (60, 15) or is_whole(line), size
            assert screen.board.current is not None
            assert screen.board.current.door.is_on_screen, size
    assert heights[200, 60][0] > heights[80, 24][0]


async def test_what_other_screens_do_at_a_size_changes_nothing_on_the_bench(table: BenchTable) -> None:
    async with table.app().run_test(size=(90, 30)) as pilot:
        bench = await at_bench(pilot, table, 1)
        for size in ((90, 30), (100, 30), (80, 24), (60, 15), (140, 40), (80, 24)):
            await pilot.resize_terminal(*size)
            await pilot.resize_terminal(*size)
            await press(pilot)
            wanted = room_classes(pilot.app.size)
            assert {name: bench.has_class(name) for name in wanted} == wanted, size
