"""A failed item's whole life over two visits, by keys alone from the first screen: out of use, repaired, back only whole."""

from datetime import date, timedelta
from pathlib import Path
from typing import Final

import pytest
from msgspec import Struct
from textual.pilot import Pilot

from appreg.clock import Instant
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import LabelKind, QueuedLabel, Visit
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from tests.ui.bench_register import KETTLE, LAMP, NOON, TODAY, WHO, BenchTable, lay_table

LATER: Final = TODAY + timedelta(days=7)
NAMED: Final = {">": "greater_than_sign", ".": "full_stop", " ": "space"}


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Desk lamp", LAMP))


class Hands(Struct, frozen=True):
    """Press keys and look at the screen."""

    pilot: Pilot[None]

    async def press(self, *keys: str) -> str:
        """Press keys, wait for what they bring, and read the screen."""
        await self.pilot.press(*(NAMED.get(key, key) for key in keys))
        for _ in range(3):
            await self.pilot.pause()
            await self.pilot.app.workers.wait_for_complete()
        lines = self.pilot.app.screen._compositor.render_strips()
        return "\n".join(line.text for line in lines)

    def said(self) -> str:
        """Everything that was said in passing."""
        return "\n".join(note.message for note in self.pilot.app._notifications)


def app_on(table: BenchTable, day: date) -> AppregApp:
    days = (day - TODAY).days
    return AppregApp(table.register, today=day, who=WHO, clock=lambda: Instant(NOON + days * 86_400_000))


def outcomes(table: BenchTable) -> list[Outcome]:
    return [each.outcome for each in effective_inspections(table.register, table.uid(0))]


def waiting(table: BenchTable) -> list[LabelKind]:
    return [label.kind for label in table.register.find(QueuedLabel, appliance=table.uid(0), printed_on=None)]


def action_of(table: BenchTable) -> RemedialAction:
    (action,) = table.register.find(RemedialAction, appliance=table.uid(0))
    return action


async def fails_on_the_first_visit(table: BenchTable) -> None:
    async with app_on(table, TODAY).run_test(size=(100, 30)) as pilot:
        hands = Hands(pilot)
        assert "HR-001" in await hands.press("v")
        assert "Never energise" in await hands.press("space", *"1.5", "enter")
        assert outcomes(table) == []
        await hands.press("enter", "enter")
        assert (outcomes(table), table.item(0).state) == ([Outcome.FAIL], ServiceState.WITHDRAWN)
        assert waiting(table) == [LabelKind.DO_NOT_USE]
        assert action_of(table).what == "earth continuity: 1.5 Ω"
        await hands.press("escape")
        assert "do not use" in await hands.press("f4")
        await hands.press("f8")
        page = await hands.press("enter")
        assert "withdrawn · last fail" in page
        assert "never energise it" in page
        await hands.press("r")
        assert isinstance(pilot.app.screen, FormScreen)
        assert "has not passed since" in await hands.press(*"looks fine", "ctrl+s")
        assert table.item(0).state is ServiceState.WITHDRAWN


async def is_repaired(table: BenchTable) -> None:
    async with app_on(table, TODAY).run_test(size=(100, 30)) as pilot:
        hands = Hands(pilot)
        await hands.press("f8")
        await hands.press("enter")
        assert "No repair yet" in await hands.press("b")
        assert "put right: earth continuity" in await hands.press("ctrl+f")
        bench = await hands.press(*"new cord", "enter", "enter", *"Harbour Lets", "ctrl+s")
        assert "new cord" in bench
        assert "Every check anew returns it to service" in bench
    assert (action_of(table).repair, action_of(table).told) == ("new cord", "Harbour Lets")
    assert action_of(table).closed_by is None
    assert (outcomes(table), table.item(0).state) == ([Outcome.FAIL], ServiceState.WITHDRAWN)


async def comes_back_on_the_second_visit(table: BenchTable) -> None:
    async with app_on(table, LATER).run_test(size=(100, 30)) as pilot:
        hands = Hands(pilot)
        await hands.press("v")
        assert isinstance(pilot.app.screen, FormScreen)
        await hands.press("ctrl+s")
        assert isinstance(pilot.app.screen, BenchScreen)
        assert len(table.register.find(Visit)) == 2

        await hands.press("ctrl+o", "space", "ctrl+s")
        await hands.press("enter")
        assert "a visual inspection alone cannot put that right" in hands.said()
        assert (outcomes(table), table.item(0).state) == ([Outcome.FAIL], ServiceState.WITHDRAWN)

        await hands.press("ctrl+o", *"0.08", "ctrl+s", "enter")
        assert outcomes(table)[0] is Outcome.INCOMPLETE
        assert table.item(0).state is ServiceState.WITHDRAWN
        assert waiting(table) == []
        assert action_of(table).closed_by is None

        assert "HR-001" in await hands.press("pageup")
        await hands.press("space", *"0.08", "enter", *">299", "enter", "space", "enter")
        await hands.press("escape")
        await hands.press("f8")
        page = await hands.press("enter")
        assert "in service · last pass" in page
        assert [page.count(word) for word in (" fail ", " incomplete ")] == [1, 1]
        assert "failed: earth" in page


async def test_it_fails_is_withdrawn_repaired_refused_in_part_and_returns_when_whole(table: BenchTable) -> None:
    await fails_on_the_first_visit(table)
    await is_repaired(table)
    await comes_back_on_the_second_visit(table)
    assert outcomes(table) == [Outcome.PASS, Outcome.INCOMPLETE, Outcome.FAIL]
    assert table.item(0).state is ServiceState.IN_SERVICE
    assert table.item(0).last_date == LATER
    assert waiting(table) == [LabelKind.PASS]
    assert action_of(table).closed_by == table.item(0).last_inspection
