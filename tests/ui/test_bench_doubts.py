"""A doubted reading on the Bench: nothing more to press where there is no doubt, one key where there is."""

from collections.abc import Iterable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.core.records.kept_records import Inspection
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_entries import LineId, entries_from_json
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.widgets.outcome_block import OutcomeBlock
from tests.ui.bench_register import KETTLE, BenchTable, bench_of, lay_table

EARTH = LineId("earth-continuity")
ACCURACY = "earth-continuity: 3 % + 2 × 0.01"
REST = ("enter", *">299", "enter", "space")


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Toaster", KETTLE), accuracy=ACCURACY)


async def start(pilot: Pilot[None], table: BenchTable) -> BenchScreen:
    assert isinstance(pilot.app, AppregApp)
    pilot.app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
    await press(pilot, ())
    return bench_of(pilot.app)


async def press(pilot: Pilot[None], keys: Iterable[str]) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


def outcome(bench: BenchScreen) -> Outcome:
    assert bench.state.judged is not None
    return bench.state.judged.outcome


def kept(table: BenchTable) -> list[Inspection]:
    return effective_inspections(table.register, table.uid(0))


@pytest.mark.parametrize(
    ("reading", "why"), [("0.00", "less than the cord itself has, 0.0208 Ω"), ("0.085", "shows steps of 0.01 Ω")]
)
async def test_one_key_on_the_outcome_confirms_a_doubted_reading(table: BenchTable, reading: str, why: str) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await press(pilot, ("space", *reading))
        line = bench.board.current
        assert line is not None
        assert line.view is not None
        assert line.view.word == "doubted"
        assert line.view.note.startswith("^b if it was read so: doubt the")
        await press(pilot, REST)
        assert bench.board.at_outcome
        assert outcome(bench) is Outcome.INCOMPLETE
        assert bench.board.query_one(OutcomeBlock).why[0] == "^b if read so: earth"
        await press(pilot, ("enter",))
        assert kept(table) == []
        await press(pilot, ("ctrl+b",))
        assert bench.next_key_does() == "enter keeps it, then HR-002"
        assert outcome(bench) is Outcome.PASS
        assert entries_from_json(bench.state.entries.to_json()) == bench.state.entries
        await press(pilot, ("enter",))
    assert [each.outcome for each in kept(table)] == [Outcome.PASS]
    (doubt,) = (each for each in kept(table)[0].advice if each.startswith("doubt"))
    assert why in doubt
    assert doubt.endswith("; confirmed: it was read so")


async def test_a_doubted_reading_is_kept_unconfirmed_as_incomplete_only(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("space", *"0.00", *REST, "enter", "enter"))
    assert [each.outcome for each in kept(table)] == [Outcome.INCOMPLETE]
    assert any(each.endswith("; not confirmed") for each in kept(table)[0].advice)


async def test_another_reading_takes_the_doubt_away_and_the_confirmation_with_it(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        bench = await start(pilot, table)
        await press(pilot, ("space", *"0.00", "ctrl+b", *REST))
        assert outcome(bench) is Outcome.PASS
        await press(pilot, ("up", "up", "up", *"0.08"))
        assert outcome(bench) is Outcome.PASS
        assert bench.state.entries.read_so == {}
        await press(pilot, ("ctrl+u", *"0.00"))
        assert outcome(bench) is Outcome.INCOMPLETE
