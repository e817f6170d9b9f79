"""The Bench on facts that a category gave: the look settles the class, one key confirms the rest."""

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.core.records.appliances import ApplianceClass, Fact
from appreg.core.records.kept_records import Appliance, Category, Location
from appreg.core.records.provenance import assumed_of
from appreg.core.records.work_records import NotInspected, RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.tasks.records.add_walked_items import add_walked_items
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.screens.bench.bench_screen import BenchScreen
from tests.ui.bench_register import KETTLE, WHO, BenchTable, lay_table

NAMED = {".": "full_stop", ">": "greater_than_sign", " ": "space"}
SIZE = (80, 24)


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> Iterator[BenchTable]:
    table = lay_table(tmp_path / "r.sqlite", ("Kettle", KETTLE))
    seed_categories(table.register, WHO)
    (place,) = table.register.find(Location)
    for typed in ("desk lamp", "submersible pump"):
        add_walked_items(table.register, WHO, location=place.uid, typed=typed)
    yield table
    table.register.close()


def item(table: BenchTable, name: str) -> Appliance:
    return table.register.find(Appliance, name=name)[0]


def assumed(table: BenchTable, name: str) -> set[Fact]:
    now = item(table, name)
    return set(assumed_of(now, table.register.get(Category, now.category) if now.category else None))


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(NAMED.get(key, key) for key in keys))
    for _ in range(3):
        await pilot.pause()


async def start(pilot: Pilot[None], table: BenchTable, name: str) -> BenchScreen:
    await pilot.app.push_screen(BenchScreen(visit=table.visit.uid, appliance=item(table, name).uid))
    await press(pilot)
    screen = pilot.app.screen
    assert isinstance(screen, BenchScreen)
    return screen


def outcome_of(bench: BenchScreen) -> str:
    return bench.state.judged.outcome.value if bench.state.judged else ""


def outcomes(table: BenchTable, name: str) -> list[Outcome]:
    return [each.outcome for each in effective_inspections(table.register, item(table, name).uid)]


async def test_a_class_two_lamp_from_a_category_still_takes_eight_keys(table: BenchTable) -> None:
    keys = ("space", *">299", "enter", "space", "enter")
    assert len(keys) == 8
    async with table.app().run_test(size=SIZE) as pilot:
        await start(pilot, table, "Desk lamp")
        await press(pilot, *keys)
    assert outcomes(table, "Desk lamp") == [Outcome.PASS]
    assert Fact.CLASS not in assumed(table, "Desk lamp")
    assert Fact.CORD_LENGTH in assumed(table, "Desk lamp")


async def test_confirming_the_cord_costs_one_key_more(table: BenchTable) -> None:
    keys = ("space", *"0.28", "ctrl+b", "enter", *">299", "enter", "space", "enter")
    assert len(keys) == 13 + 1
    async with table.app().run_test(size=SIZE) as pilot:
        bench = await start(pilot, table, "Submersible pump")
        await press(pilot, *keys[:5])
        line = bench.board.current
        assert line is not None
        assert line.view is not None
        assert (line.view.word, line.view.limit) == ("inconclusive", "≤ 0.1 Ω")
        assert "passes only if the cord is 1 mm² × 10 m" in line.view.note
        await press(pilot, *keys[5:])
    assert outcomes(table, "Submersible pump") == [Outcome.PASS]
    assert assumed(table, "Submersible pump").isdisjoint({Fact.CORD_SIZE, Fact.CORD_LENGTH})


async def test_on_the_outcome_the_same_key_confirms_all_that_it_waits_for(table: BenchTable) -> None:
    async with table.app().run_test(size=SIZE) as pilot:
        bench = await start(pilot, table, "Submersible pump")
        await press(pilot, "space", *"0.28", "enter", *">299", "enter", "space")
        assert bench.board.at_outcome
        assert outcome_of(bench) == "incomplete"
        await press(pilot, "ctrl+b")
        assert outcome_of(bench) == "pass"
        assert bench.board.at_outcome


async def test_denying_the_class_makes_it_unknown_and_asks_for_the_earth_check(table: BenchTable) -> None:
    async with table.app().run_test(size=SIZE) as pilot:
        bench = await start(pilot, table, "Desk lamp")
        await press(pilot, *["right"] * 12, "x")
        assert item(table, "Desk lamp").appliance_class is ApplianceClass.UNKNOWN
        assert "earth-continuity" in {line.line_id for line in bench.board.lines}


async def test_where_nothing_is_assumed_the_key_says_so(table: BenchTable) -> None:
    async with table.app().run_test(size=SIZE) as pilot:
        bench = await start(pilot, table, "Kettle")
        await press(pilot, "space", "ctrl+b")
        assert bench.next_key_does() == "nothing here is assumed or doubted"
        await press(pilot, "down", "down", "down", "ctrl+b")
        assert bench.board.at_outcome
        assert bench.next_key_does().startswith("not taken")
        assert table.item(0).cord_length_m == Decimal("0.8")


async def test_a_failed_insulation_closes_what_needs_mains_and_says_so(table: BenchTable) -> None:
    async with table.app().run_test(size=SIZE) as pilot:
        bench = await start(pilot, table, "Kettle")
        await press(pilot, "space", *"0.08", "enter", *"0.2", "enter")
        assert bench.board.at_outcome
        works = next(line for line in bench.board.lines if line.line_id == "functional")
        assert works.view is not None
        assert works.view.limit == "closed: “insulation” failed"
        assert "needs mains stays closed" in str(bench.board.query_one("#caution").render())


async def test_a_caution_stands_before_the_check_that_needs_mains(table: BenchTable) -> None:
    async with table.app().run_test(size=SIZE) as pilot:
        bench = await start(pilot, table, "Kettle")
        await press(pilot, "space", *"0.08", "enter", *">299", "enter")
        assert "guards on, moving parts clear" in str(bench.board.query_one("#caution").render())


async def test_an_item_out_of_reach_is_left_with_its_reason_and_the_next_one_opens(table: BenchTable) -> None:
    async with table.app().run_test(size=SIZE) as pilot:
        bench = await start(pilot, table, "Kettle")
        await press(pilot, "ctrl+x", "down", "ctrl+s")
        assert table.register.find(NotInspected)[0].because == "refused"
        assert bench.state.item is not None
        assert bench.state.item.appliance.name == "Desk lamp"
        assert bench.next_key_does() == "HR-001 not inspected: refused"


async def test_a_pass_after_a_failure_asks_what_was_put_right(table: BenchTable) -> None:
    async with table.app().run_test(size=SIZE) as pilot:
        bench = await start(pilot, table, "Kettle")
        await press(pilot, "space", *"1.5", "enter", "enter", "enter", "pageup")
        assert bench.state.item is not None
        assert bench.state.item.appliance.name == "Kettle"
        await press(pilot, "space", *"0.08", "enter", *">299", "enter", "space", "enter")
        assert outcomes(table, "Kettle") == [Outcome.FAIL]
        await press(pilot, *"new cord", "enter")
    assert outcomes(table, "Kettle") == [Outcome.PASS, Outcome.FAIL]
    assert table.register.find(RemedialAction)[0].repair == "new cord"


async def test_a_failure_called_mistyped_is_corrected_and_not_repaired(table: BenchTable) -> None:
    async with table.app().run_test(size=SIZE) as pilot:
        await start(pilot, table, "Kettle")
        await press(pilot, "space", *"1.5", "enter", "enter", "enter", "pageup")
        await press(pilot, "space", *"0.08", "enter", *">299", "enter", "space", "enter")
        await press(pilot, *"mistyped", "enter")
    assert outcomes(table, "Kettle") == [Outcome.PASS]
    assert table.register.find(RemedialAction)[0].repair == ""
