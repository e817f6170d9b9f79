"""A failed item's whole life, driven by keys: fail, withdraw, repair, refused half measures, back in service."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import LabelKind, QueuedLabel
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.form_screen import FormScreen
from tests.ui.bench_register import KETTLE, LAMP, BenchTable, bench_of, lay_table


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Desk lamp", LAMP))


async def settle(pilot: Pilot[None]) -> None:
    for _ in range(3):
        await pilot.pause()


async def at_the_bench(pilot: Pilot[None], table: BenchTable, place: int) -> AppregApp:
    assert isinstance(pilot.app, AppregApp)
    pilot.app.open_bench(visit=table.visit.uid, appliance=table.uid(place))
    await settle(pilot)
    return pilot.app


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    await settle(pilot)


def actions(table: BenchTable, place: int) -> list[RemedialAction]:
    return table.register.find(RemedialAction, appliance=table.uid(place))


async def test_a_failed_item_comes_back_only_after_a_whole_new_inspection(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        app = await at_the_bench(pilot, table, 0)
        await press(pilot, "space", *"1.5", "enter", "enter", "enter")
        assert table.item(0).state is ServiceState.WITHDRAWN
        assert [label.kind for label in table.register.find(QueuedLabel)] == [LabelKind.DO_NOT_USE]
        assert [action.what for action in actions(table, 0)] == ["earth continuity: 1.5 Ω"]

        await press(pilot, "pageup")
        caution = bench_of(app).board.query_one("#caution")
        assert "No repair yet" in str(caution.render())
        await press(pilot, "ctrl+f")
        assert isinstance(app.screen, FormScreen)
        await press(pilot, *"new cord", "enter", "enter", *"B", "ctrl+s")
        assert "new cord" in str(caution.render())
        assert actions(table, 0)[0].told == "B"
        assert table.item(0).state is ServiceState.WITHDRAWN

        await press(pilot, "ctrl+o", "space", "ctrl+s")
        await press(pilot, "enter")
        assert any("a visual inspection alone cannot put that right" in note.message for note in app._notifications)
        assert table.item(0).state is ServiceState.WITHDRAWN
        assert [each.outcome for each in effective_inspections(table.register, table.uid(0))] == [Outcome.FAIL]

        await press(pilot, "ctrl+o", *"0.08", "ctrl+s", "enter")
        assert effective_inspections(table.register, table.uid(0))[0].outcome is Outcome.INCOMPLETE
        assert table.item(0).state is ServiceState.WITHDRAWN

        await press(pilot, "pageup")
        await press(pilot, "space", *"0.08", "enter", *">299", "enter", "space", "enter")
    assert effective_inspections(table.register, table.uid(0))[0].outcome is Outcome.PASS
    assert table.item(0).state is ServiceState.IN_SERVICE
    assert [action.closed_by is not None for action in actions(table, 0)] == [True]
    assert [label.kind for label in table.register.find(QueuedLabel, printed_on=None)] == [LabelKind.PASS]


async def test_a_sound_item_has_nothing_to_repair(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        app = await at_the_bench(pilot, table, 1)
        await press(pilot, "ctrl+f")
        assert bench_of(app) is app.screen
        assert any("Nothing has failed" in note.message for note in app._notifications)
