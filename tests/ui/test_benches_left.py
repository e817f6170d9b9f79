"""A bench left half-filled is offered when the program starts again."""

from contextlib import AbstractContextManager
from pathlib import Path
from threading import get_ident

import pytest

from appreg.register.journal.changes import Change
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_bench_draft import bench_draft, keep_bench_draft
from appreg.ui.screens.asking.pick_screen import PickScreen
from appreg.ui.screens.bench.bench_drafts import DRAFT_AFTER
from tests.postgres_server import let_all_stand
from tests.ui.bench_register import KETTLE, LAMP, WHO, bench_of, lay_table


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


async def test_between_two_keys_nothing_is_saved_in_the_thread_of_the_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Desk lamp", LAMP))
    change, threads = Register.change, list[int]()

    def noted(register: Register, who: str, reason: str = "") -> AbstractContextManager[Change]:
        threads.append(get_ident())
        return change(register, who, reason)

    monkeypatch.setattr(Register, "change", noted)
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.pause()
        for key in ("space", "0", "full_stop", "0", "9"):
            await pilot.press(key)
            await pilot.pause(DRAFT_AFTER * 1.5)
        assert threads
        assert get_ident() not in threads
        typed = bench_of(app).state.entries.to_json()
        await pilot.press("8", "pagedown")
        draft = bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0))
        assert draft is not None
        assert draft.body == typed.replace("0.09", "0.098")
        assert get_ident() in threads


async def test_a_bench_that_cannot_be_read_or_belongs_nowhere_keeps_no_screen_from_opening(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Desk lamp", LAMP))
    for place in (0, 1):
        keep_bench_draft(
            table.register, WHO, visit=table.visit.uid, appliance=table.uid(place), at="10:00", body="no bench"
        )
    let_all_stand(table.register)
    table.register.connection.execute("UPDATE bench_draft SET visit = '00000000000000000000000000' WHERE place = 1")
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, PickScreen)
        await pilot.press("enter")
        for _ in range(5):
            await pilot.pause()
        bench = bench_of(app)
        assert bench.state.item is not None
        assert bench.state.item.appliance.uid == table.uid(1)
        assert bench.state.entries.is_untouched
