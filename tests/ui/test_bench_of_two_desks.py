"""Two desks at one site: what the other saves is seen beside the Bench, and nothing is kept over it in silence."""

import time
from collections.abc import Iterable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.core.records.checks import EarthEntry, Entries
from appreg.core.records.kept_records import Inspection, InspectionKind, Visit
from appreg.core.values.outcomes import Outcome
from appreg.core.values.readings import Unit, parse_reading
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.tasks.inspecting.keep_bench_draft import keep_bench_draft
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_person import add_person
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_entries import LineId
from appreg.ui.screens.bench.seen_list import SeenList
from appreg.ui.screens.bench.visit_sum_screen import VisitSumScreen
from appreg.ui.screens.bench.visit_walk import VisitWalk
from tests.ui.bench_register import KETTLE, LAMP, TODAY, WHO, BenchTable, bench_of, lay_table
from tests.ui.test_shell_screens import screen_text

_PATIENCE = 2.0


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Desk lamp", LAMP), ("Kettle", KETTLE))


async def settle(pilot: Pilot[None]) -> None:
    for _ in range(4):
        await pilot.pause()


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    await settle(pilot)


async def opened(pilot: Pilot[None], table: BenchTable, place: int, keys: Iterable[str] = ()) -> AppregApp:
    """The Bench at an item, with the first look at what others save behind it."""
    app = pilot.app
    assert isinstance(app, AppregApp)
    app.look_at_others()
    app.open_bench(visit=table.visit.uid, appliance=table.uid(place))
    await settle(pilot)
    await press(pilot, *keys)
    return app


def inspected_elsewhere(table: BenchTable, place: int = 0, *, visit: Uid | None = None) -> Inspection:
    failed = Entries(visual=True, earth=EarthEntry(reading=parse_reading("1.5", Unit.OHM)))
    with table.register.reopen() as other:
        saved = record_inspection(
            other,
            "JB",
            appliance=table.uid(place),
            visit=visit or table.visit.uid,
            kind=InspectionKind.COMBINED,
            entries=failed,
        )
    return saved.inspection


def visit_of_their_own(table: BenchTable) -> Uid:
    with table.register.reopen() as other:
        person = add_person(other, "JB", name="J. Bell", initials="JB", qualifications="in-service inspection")
        site, instrument = table.visit.site, table.register.get(Visit, table.visit.uid).instrument
        return start_visit(other, "JB", site=site, on=TODAY, person=person.uid, instrument=instrument).uid


def said(app: AppregApp) -> str:
    return " ".join(screen_text(app).split())


def beside(app: AppregApp) -> list[str]:
    return [" ".join(row.split()) for row in str(app.screen.query_one(VisitWalk).render()).splitlines()[1:]]


async def test_an_item_inspected_at_another_desk_is_not_kept_over_in_silence(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24), notifications=True) as pilot:
        app = await opened(pilot, table, 0, ("space", *"0.08"))
        inspected_elsewhere(table)
        bench = bench_of(app)
        typed = bench.state.entries
        await bench.keeping.keep()
        await settle(pilot)
        assert len(effective_inspections(table.register, table.uid(0))) == 1
        assert "inspected elsewhere" in said(app)
        assert bench.state.entries == typed
        await bench.keeping.keep()
        await settle(pilot)
        assert len(effective_inspections(table.register, table.uid(0))) == 2


async def test_what_another_desk_saves_is_beside_the_bench_within_two_seconds(table: BenchTable) -> None:
    app = AppregApp(table.register, today=lambda: TODAY, who=WHO)
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        await opened(pilot, table, 1, ("space", *">29"))
        await pilot.pause(1.1)
        inspected_elsewhere(table, 2)
        began = time.monotonic()
        while not any(row.endswith("FAIL") for row in beside(app)):
            assert time.monotonic() - began < _PATIENCE
            await pilot.pause(0.05)
        await press(pilot, "9")
        bench = bench_of(app)
        assert bench.state.entries.typed[LineId("insulation")] == ">299"
        assert bench.board.current is not None
        assert bench.board.current.text == ">299"


async def test_an_item_on_the_bench_that_another_desk_inspects_is_told_of_at_once(table: BenchTable) -> None:
    async with table.app().run_test(size=(120, 40), notifications=True) as pilot:
        app = await opened(pilot, table, 0, ("right", "right", "x", *"cut", "enter", "right"))
        before = app.screen.query_one(SeenList).under_cursor
        inspected_elsewhere(table, visit=visit_of_their_own(table))
        app.look_at_others()
        await settle(pilot)
        assert "HR-001 was inspected elsewhere meanwhile: fail on 24 Nov 2026, by J. Bell." in said(app)
        assert "last: 24 Nov 2026, fail" in said(app)
        assert app.screen.query_one(SeenList).under_cursor == before
        await press(pilot, "ctrl+s")
        assert len(effective_inspections(table.register, table.uid(0))) == 1
        assert "What stands here is not kept yet" in said(app)
        await press(pilot, "ctrl+s")
        await press(pilot, *"new cord", "enter")
        assert len(effective_inspections(table.register, table.uid(0))) == 2


@pytest.mark.parametrize("keys", [("question_mark", "escape"), ("down", "ctrl+t"), ("ctrl+l",)])
async def test_what_is_read_anew_on_the_way_hides_no_inspection_of_another_desk(
    table: BenchTable, keys: tuple[str, ...]
) -> None:
    theirs = visit_of_their_own(table)
    async with table.app().run_test(size=(80, 24), notifications=True) as pilot:
        app = await opened(pilot, table, 0, ("space", *"0.08", "enter", *">299", "enter", "space", "up", "up"))
        inspected_elsewhere(table, visit=theirs)
        await press(pilot, *keys)
        await bench_of(app).keeping.keep()
        await settle(pilot)
        assert len(effective_inspections(table.register, table.uid(0))) == 1
        assert "What stands here is not kept yet" in said(app)


@pytest.mark.parametrize("way", ["page down", "scanned"])
async def test_an_item_gone_to_opens_as_another_desk_has_kept_it(table: BenchTable, way: str) -> None:
    async with table.app().run_test(size=(80, 24), notifications=True) as pilot:
        app = await opened(pilot, table, 0)
        inspected_elsewhere(table, 1)
        if way == "scanned":
            assert bench_of(app).take_found(table.uid(1))
            await settle(pilot)
        else:
            await press(pilot, "pagedown")
        assert "kept: fail" in bench_of(app).next_key_does()
        assert "kept · item 2 of 3" in said(app)


async def test_an_item_added_at_another_desk_joins_the_walk(table: BenchTable) -> None:
    async with table.app().run_test(size=(120, 40)) as pilot:
        app = await opened(pilot, table, 0)
        known = table.item(0)
        with table.register.reopen() as other:
            add_appliance(other, "JB", site=known.site, location=known.location, name="Toaster", **KETTLE)
        app.look_at_others()
        await settle(pilot)
        assert beside(app)[-1] == "HR-004 Toaster to do"
        assert "item 1 of 4" in said(app)


async def test_what_another_desk_saves_under_a_question_is_beside_the_bench_once_it_is_left(table: BenchTable) -> None:
    async with table.app().run_test(size=(120, 40)) as pilot:
        app = await opened(pilot, table, 0, ("f1",))
        inspected_elsewhere(table, 2)
        app.look_at_others()
        await press(pilot, "escape")
        assert beside(app)[-1] == "HR-003 Kettle FAIL"


async def test_undo_on_the_sum_of_a_visit_takes_back_what_was_kept_here(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        for place in (1, 2):
            inspected_elsewhere(table, place)
        app = await opened(pilot, table, 0, ("space", *"0.08", "enter", *">299", "enter", "space", "enter"))
        assert "sum of the visit" in said(app)
        inspected_elsewhere(table, 2)
        app.look_at_others()
        await press(pilot, "ctrl+z")
        counting = [effective_inspections(table.register, table.uid(place)) for place in range(3)]
        assert [[each.outcome for each in kept] for kept in counting] == [[], [Outcome.FAIL], [Outcome.FAIL] * 2]


async def test_undo_takes_back_what_was_kept_here_and_not_what_another_desk_kept(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        app = await opened(pilot, table, 0, ("space", *"0.08", "enter", *">299", "enter", "space"))
        inspected_elsewhere(table, 1)
        await press(pilot, "enter")
        assert bench_of(app).next_key_does().startswith("kept HR-001 pass")
        inspected_elsewhere(table, 2)
        await press(pilot, "ctrl+z")
        counting = [effective_inspections(table.register, table.uid(place)) for place in range(3)]
        assert [[each.outcome for each in kept] for kept in counting] == [[], [Outcome.FAIL], [Outcome.FAIL]]


async def test_with_nothing_kept_here_undo_takes_back_nothing_of_another_desk(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24), notifications=True) as pilot:
        inspected_elsewhere(table, 1)
        app = await opened(pilot, table, 0)
        await press(pilot, "ctrl+z")
        assert [each.outcome for each in effective_inspections(table.register, table.uid(1))] == [Outcome.FAIL]
        assert "HR-002 was kept last on this visit, by JB" in " ".join(each.message for each in app._notifications)


async def test_with_nothing_kept_here_undo_on_the_sum_takes_back_nothing_of_another_desk(table: BenchTable) -> None:
    for place in range(3):
        inspected_elsewhere(table, place)
    async with table.app().run_test(size=(80, 24)) as pilot:
        app = await opened(pilot, table, 0)
        app.push_screen(VisitSumScreen(visit=table.visit.uid))
        await press(pilot, "ctrl+z")
        assert all(effective_inspections(table.register, table.uid(place)) for place in range(3))


async def test_a_half_filled_bench_of_another_desk_is_said(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24), notifications=True) as pilot:
        app = await opened(pilot, table, 0)
        with table.register.reopen() as other:
            keep_bench_draft(other, "JB", visit=table.visit.uid, appliance=table.uid(0), at="10:00", body="{}")
        await press(pilot, "space")
        bench_of(app).drafts.keep()
        await settle(pilot)
        assert "Another desk has this item" in said(app)
