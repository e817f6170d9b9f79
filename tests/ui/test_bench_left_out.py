"""A check is left out with its reason by one key, and what was begun on the Bench stays asked for."""

from collections.abc import Iterable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.core.judging.methods import left_out_because
from appreg.core.records.checks import Check
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections, findings_of
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_entries import LineId
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.bench.bench_words import why_so
from tests.ui.bench_register import KETTLE, LAMP, BenchTable, bench_of, lay_table

REASON = "no earthed metal"
NINE_MA = ("space", *">299", "ctrl+l", "down", *"9", "enter", "space")
"""A lamp looked over, insulated, leaking 9 mA where nobody asked for leakage, and working."""


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Desk lamp", LAMP), ("Kettle", KETTLE))


async def press(pilot: Pilot[None], keys: Iterable[str]) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


async def opened(pilot: Pilot[None], table: BenchTable, place: int) -> BenchScreen:
    assert isinstance(pilot.app, AppregApp)
    pilot.app.open_bench(visit=table.visit.uid, appliance=table.uid(place))
    await press(pilot, ())
    return bench_of(pilot.app)


def stands(screen: BenchScreen) -> tuple[Outcome, str]:
    assert screen.state.judged is not None
    return screen.state.judged.outcome, why_so(screen.state.judged)


async def test_a_key_leaves_a_check_out_with_its_reason_and_again_opens_it(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        screen = await opened(pilot, table, 1)
        await press(pilot, ("space", "ctrl+d", *REASON.replace(" ", "_"), "enter", "down", *">299", "enter", "space"))
        said = REASON.replace(" ", "_")
        assert stands(screen) == (Outcome.PASS, f"every other check it needs is done · left out: earth ({said})")
        line = screen.board.lines[1].view
        assert line is not None
        assert (line.word, line.waits) == ("left out", False)
        assert f"left out: {said}" in line.note
        await press(pilot, ("up", "up", "up", "ctrl+d"))
        assert stands(screen) == (Outcome.INCOMPLETE, "still to do: earth")
        assert screen.next_key_does() == "earth is open again"
        await press(pilot, ("ctrl+d", *said, "enter", "ctrl+s"))
    (kept,) = effective_inspections(table.register, table.uid(1))
    assert kept.outcome is Outcome.PASS
    left = {each.check_name: left_out_because(each.method) for each in findings_of(table.register, kept.uid)}
    assert left[Check.EARTH_CONTINUITY] == said
    assert not any(reason for check, reason in left.items() if check != Check.EARTH_CONTINUITY)


async def test_the_key_says_where_a_check_is_not_to_be_left_out_and_a_reading_takes_the_reason_away(
    table: BenchTable,
) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        screen = await opened(pilot, table, 1)
        await press(pilot, ("ctrl+d",))
        assert screen.next_key_does() == "not to be left out: rule book gb does not let it be left out here"
        await press(pilot, ("space", *"0.05", "ctrl+d"))
        assert screen.next_key_does() == "something is entered here, and that counts"
        await press(pilot, ("ctrl+u", "ctrl+d"))
        assert screen.next_key_does() == "not to be left out: it was begun, or has failed before: take it again"
        await press(pilot, ("down", "down", "ctrl+d", *"dry", "enter", "space"))
        assert screen.state.entries.left_out == {}
        assert screen.state.entries.marks[LineId("functional")] == "ok"


async def test_an_optional_check_that_failed_is_not_emptied_into_a_pass(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        screen = await opened(pilot, table, 0)
        await press(pilot, NINE_MA)
        assert stands(screen) == (Outcome.FAIL, "failed: leakage")
        await press(pilot, ("up", "up", "ctrl+u"))
        assert stands(screen) == (Outcome.INCOMPLETE, "still to do: leakage")
        await press(pilot, ("ctrl+l",))
        assert screen.next_key_does() == "leakage was begun, or has failed before, and stays asked for"
        await press(pilot, ("ctrl+n",))
        assert screen.state.entries.is_untouched
    async with table.app().run_test(size=(100, 30)) as pilot:
        screen = await opened(pilot, table, 0)
        await press(pilot, ("space", *">299", "down", "down", "space"))
        assert stands(screen) == (Outcome.INCOMPLETE, "still to do: leakage")
        await press(pilot, ("up", "up", *"0.1"))
        assert stands(screen)[0] is Outcome.PASS


async def test_a_kept_failure_is_not_mistyped_into_a_pass_by_emptying_it(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        await opened(pilot, table, 0)
        await press(pilot, (*NINE_MA, "enter", "enter"))
        screen = await opened(pilot, table, 0)
        await press(pilot, ("down", "down", "ctrl+u"))
        assert stands(screen)[0] is Outcome.INCOMPLETE
        await press(pilot, ("ctrl+s", *"mistyped", "enter"))
        (kept,) = effective_inspections(table.register, table.uid(0))
        assert (kept.outcome, kept.missing) == (Outcome.INCOMPLETE, ("leakage",))


async def test_a_kept_item_emptied_and_called_mistyped_shows_what_a_correction_takes_again(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        await opened(pilot, table, 0)
        await press(pilot, ("space", *">299", "ctrl+l", "down", *"0.1", "enter", "space", "enter"))
        screen = await opened(pilot, table, 0)
        await press(pilot, ("ctrl+n", "space", *">299", "enter", "space"))
        assert stands(screen)[0] is Outcome.PASS
        await press(pilot, ("ctrl+s", *"mistyped", "enter"))
        assert pilot.app.screen is screen
        assert stands(screen) == (Outcome.INCOMPLETE, "still to do: leakage")
        (kept,) = effective_inspections(table.register, table.uid(0))
        assert kept.outcome is Outcome.PASS
        await press(pilot, ("ctrl+s", *"mistyped", "enter"))
    (kept,) = effective_inspections(table.register, table.uid(0))
    assert (kept.outcome, kept.missing) == (Outcome.INCOMPLETE, ("leakage",))


async def test_one_of_two_readings_side_by_side_is_not_taken_away_unseen(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        screen = await opened(pilot, table, 1)
        await press(pilot, ("space", *"0.05/9", "enter", "up", *"0.05"))
        judged = screen.state.judged
        assert judged is not None
        assert "2 readings stood side by side before, now 1" in judged.findings[Check.EARTH_CONTINUITY].arithmetic
        await press(pilot, ("exclamation_mark", *"0.05"))
        assert screen.state.judged is not None
        assert screen.state.judged.findings[Check.EARTH_CONTINUITY].result == "pass"


async def test_a_test_that_was_begun_does_not_become_a_look_that_passes(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        screen = await opened(pilot, table, 1)
        await press(pilot, ("space", *"9", "ctrl+o"))
        assert stands(screen) == (Outcome.INCOMPLETE, "still to do: earth")
