"""What keeping an inspection on the Bench makes a person wait for: the disk once, and nothing that is known already."""

from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.records.kept_records import Inspection
from appreg.core.records.work_records import BenchDraft
from appreg.errors import InputRefused
from appreg.tasks.inspecting.follow_visit import items_to_read_again
from appreg.ui.app import WRITTEN_BACK_AFTER, AppregApp
from appreg.ui.screens.bench import bench_keeping, bench_visit
from appreg.ui.screens.bench.bench_screen import BenchScreen
from tests.ui.bench_register import LAMP, BenchTable, lay_table
from tests.ui.list_register import TODAY, WHO, build_register, tagged
from tests.ui.test_bench_of_two_desks import inspected_elsewhere

_USUAL_LOG = 1000 * 4096
"""Bytes of SQLite's log from which a change would carry it into the file."""
PASSING = ("space", "greater_than_sign", "2", "9", "9", "enter", "space")


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", *[("Desk lamp", LAMP)] * 4)


async def _passing(pilot: Pilot[None], table: BenchTable) -> BenchScreen:
    """The Bench with an item that passes, its half-filled bench not written yet."""
    app: Any = pilot.app
    app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
    await pilot.press(*PASSING)
    assert isinstance(app.screen, BenchScreen)
    return app.screen


async def test_a_save_is_one_change_of_the_half_filled_bench_and_the_inspection(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    changes: list[str] = []
    async with table.app().run_test(size=(120, 40)) as pilot:
        bench = await _passing(pilot, table)
        monkeypatch.setattr(bench.drafts, "keep_soon", lambda: None)
        bench.drafts.keep_due()
        begin = table.register.change_after

        def noted(beforehand: Any, who: str, reason: str = "") -> Any:
            changes.append(reason)
            return begin(beforehand, who, reason)

        monkeypatch.setattr(table.register, "change_after", noted)
        await pilot.press("enter")
        await pilot.pause()
    assert changes == ["inspection"]
    assert len(table.register.find(Inspection)) == 1
    assert table.register.find(BenchDraft) == []
    table.register.close()


async def test_what_stands_on_the_bench_of_a_refused_save_is_kept_half_filled(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object, **__: object) -> None:
        raise InputRefused("This cannot be kept.")

    async with table.app().run_test(size=(120, 40)) as pilot:
        bench = await _passing(pilot, table)
        monkeypatch.setattr(bench_keeping, "keep_bench", refused)
        await pilot.press("enter")
        await pilot.pause()
        (draft,) = table.register.find(BenchDraft)
        assert draft.body == bench.state.entries.to_json()
        assert ">299" in draft.body
    assert table.register.find(Inspection) == []
    table.register.close()


async def test_what_was_kept_here_is_no_news_and_what_another_desk_saved_is(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[object] = []

    def noted(*given: Any) -> Any:
        looked.append(items_to_read_again(*given))
        return looked[-1]

    monkeypatch.setattr(bench_visit, "items_to_read_again", noted)
    async with table.app().run_test(size=(120, 40)) as pilot:
        bench = await _passing(pilot, table)
        await pilot.press("enter", *PASSING[:-1])
        bench.drafts.keep()
        await bench.walk.follow()
        assert looked == []
        inspected_elsewhere(table, 3)
        await pilot.press("space", "enter")
        assert len(table.register.find(Inspection)) == 3
        await bench.walk.follow()
        assert looked == [{table.uid(1), table.uid(3)}], (
            "of another desk's lines and its own it cannot tell which are whose"
        )
    table.register.close()


async def test_what_was_saved_is_written_back_in_a_thread_and_under_no_key(tmp_path: Path) -> None:
    register = build_register(tmp_path / "list.db")
    app = AppregApp(register, today=lambda: TODAY, who=WHO)
    file, log = (tmp_path / name for name in ("list.db", "list.db-wal"))
    async with app.run_test(size=(80, 24)) as pilot:
        register.write_back()
        before = file.read_bytes()
        for number in range(WRITTEN_BACK_AFTER):
            with register.change(WHO) as change:
                change.put(replace(tagged(register, "HR-002"), notes=f"{number} " * 20_000))
        assert log.stat().st_size > _USUAL_LOG
        assert file.read_bytes() == before, "no change has written more than its own lines"
        app.look_at_others()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert file.read_bytes() != before
    assert tagged(register, "HR-002").notes.startswith(f"{WRITTEN_BACK_AFTER - 1} ")
    register.close()
