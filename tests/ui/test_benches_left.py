"""A bench left half-filled is offered when the program starts again."""

from pathlib import Path

from appreg.tasks.keep_bench_draft import bench_draft
from appreg.ui.screens.asking.pick_screen import PickScreen
from appreg.ui.screens.bench.bench_drafts import DRAFT_AFTER
from tests.ui.bench_register import KETTLE, LAMP, bench_of, lay_table


async def test_the_half_filled_bench_is_offered_at_the_next_start_and_taken_up_with_enter(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Desk lamp", LAMP), ("Kettle", KETTLE))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(1))
        await pilot.pause()
        await pilot.press("space", "0", "full_stop", "0", "9")
        await pilot.pause(DRAFT_AFTER * 3)
    assert bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(1)) is not None

    again = table.app()
    async with again.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(again.screen, PickScreen)
        await pilot.press("enter")
        for _ in range(5):
            await pilot.pause()
        bench = bench_of(again)
        assert bench.state.item is not None
        assert bench.state.item.appliance.uid == table.uid(1)
        assert "0.09" in bench.state.entries.to_json()


async def test_leaving_the_offer_keeps_what_was_entered(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid)
        await pilot.pause()
        await pilot.press("space", "1")
        await pilot.pause(DRAFT_AFTER * 3)
    again = table.app()
    async with again.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(again.screen, PickScreen)
    assert bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0)) is not None


async def test_nothing_is_offered_where_nothing_was_left(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert not isinstance(app.screen, PickScreen)
