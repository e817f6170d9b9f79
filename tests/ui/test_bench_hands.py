"""Hands on the Bench: a figure over a figure, keys pressed by mistake, and what is half written when it ends."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest
from textual.events import Paste
from textual.pilot import Pilot
from textual.widgets import Input

from appreg.core.judging import inspection_judging
from appreg.core.judging.verdicts import Judgement, judge_item
from appreg.core.records.checks import Entries
from appreg.core.rules.check_rules import CheckRules
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.tasks.inspecting.keep_bench_draft import bench_draft
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_entries import LineId, entries_from_json
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.bench.remark_screen import RemarkScreen
from tests.ui.bench_register import KETTLE, LAMP, BenchTable, bench_of, lay_table
from tests.ui.test_key_order import burst

INSULATION, EARTH = LineId("insulation"), LineId("earth-continuity")


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Desk lamp", LAMP), ("Kettle", KETTLE))


def app_of(pilot: Pilot[None]) -> AppregApp:
    assert isinstance(pilot.app, AppregApp)
    return pilot.app


def bench(pilot: Pilot[None]) -> BenchScreen:
    return bench_of(app_of(pilot))


def open_tag(pilot: Pilot[None]) -> str:
    item = bench(pilot).state.item
    assert item is not None
    return item.appliance.tag


async def start(pilot: Pilot[None], item: Uid, table: BenchTable) -> None:
    app_of(pilot).open_bench(visit=table.visit.uid, appliance=item)
    await press(pilot, ())


async def press(pilot: Pilot[None], keys: Iterable[str]) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


async def test_the_mark_is_told_and_the_key_that_clears_a_line_only_clears_it(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("space", *"0.1", "ctrl+u"))
        screen = bench(pilot)
        assert screen.state.entries.typed[EARTH] == ""
        assert not table.item(1).unsuitable_500v
        await press(pilot, ("ctrl+y",))
        assert "HR-002 is marked unsuitable for 500 V" in screen.next_key_does()
        await press(pilot, ("ctrl+y",))
        assert "may be tested at 500 V d.c. again" in screen.next_key_does()


async def test_a_reading_typed_over_a_reading_replaces_it_and_says_so(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("space", *"0.11", "enter", "up"))
        screen = bench(pilot)
        assert "typing replaces 0.11" in screen.next_key_does()
        await press(pilot, (*"62",))
        assert screen.state.entries.typed[EARTH] == "62"
        assert screen.state.judged is not None
        assert screen.state.judged.outcome is Outcome.FAIL


async def test_the_first_key_says_that_it_replaced_the_reading(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("space", *"0.11", "enter", "up", "6"))
        screen = bench(pilot)
        assert screen.state.entries.typed[EARTH] == "6"
        assert screen.next_key_does() == "0.11 is replaced"


async def test_a_reading_can_still_be_edited_with_the_arrows(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("space", *"0.11", "enter", "up", "right", "backspace", "2", "home", "left", "delete", "1"))
        entries = bench(pilot).state.entries
    assert entries.typed[EARTH] == "1.12"


@pytest.mark.parametrize("keys", [("ctrl+s",), ("ctrl+s", "ctrl+s"), (*["down"] * 5, "enter", "enter", "enter")])
async def test_an_item_that_nobody_touched_is_not_kept(table: BenchTable, keys: tuple[str, ...]) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, keys)
        assert open_tag(pilot) == "HR-002"
        assert any("nothing is kept" in note.message for note in pilot.app._notifications)
    assert effective_inspections(table.register, table.uid(1)) == []


async def test_what_is_half_written_is_kept_when_the_program_is_told_to_end(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(0), table)
        await press(pilot, ("space", *">29", "ctrl+r", *"warm"))
        assert isinstance(pilot.app.screen, RemarkScreen)
        assert app_of(pilot).keep_typed() == ()
    draft = bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0))
    assert draft is not None
    entries = entries_from_json(draft.body)
    assert entries.typed[INSULATION] == ">29"
    assert entries.remarks[INSULATION] == "warm"


async def test_a_paste_too_long_for_a_remark_is_cut_and_said(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(0), table)
        await press(pilot, ("ctrl+r", *"so: "))
        pilot.app.post_message(Paste("warm\n" + "x" * 500))
        await press(pilot, ())
        assert any("the last 109 are left out" in note.message for note in pilot.app._notifications)
        written = pilot.app.screen.query_one(Input).value
    assert (written[:10], len(written)) == ("so: warm x", 400)


KETTLE_KEYS = ("space", *"0.08", "enter", *">299", "enter", "space", "enter")


async def test_an_item_kept_on_this_visit_opens_filled_and_stays_as_it_is(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, KETTLE_KEYS)
        await press(pilot, ("escape",))
        await start(pilot, table.uid(1), table)
        screen = bench(pilot)
        assert screen.state.entries.typed == {EARTH: "0.08", INSULATION: ">299"}
        assert screen.next_key_does().startswith("kept: pass, ")
        assert "kept · item 2 of 2" in "\n".join(line.text for line in screen._compositor.render_strips())
        await press(pilot, ("down",) * 4)
        assert screen.next_key_does() == "kept as it stands: enter goes on"
        await press(pilot, ("7",))
        assert screen.next_key_does() == "nothing takes what you typed here; enter goes on"
        await press(pilot, ("enter",))
        assert open_tag(pilot) == "HR-001"
    assert len(effective_inspections(table.register, table.uid(1))) == 1
    assert bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(1)) is None


async def test_a_slip_is_corrected_by_one_reading_but_a_further_inspection_takes_every_line_anew(
    table: BenchTable,
) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("space", *"0.8", "enter", "enter", "enter", "pagedown"))
        assert open_tag(pilot) == "HR-002"
        await press(pilot, ("ctrl+s",))
        await start(pilot, table.uid(1), table)
        assert bench(pilot).state.entries.typed[EARTH] == "0.8"
        await press(pilot, ("down", *"0.08", "enter", *">299", "enter", "space", "enter"))
        await press(pilot, (*"looked again", "enter"))
        assert any("look it over as kept before" in note.message for note in pilot.app._notifications)
        assert [each.outcome for each in effective_inspections(table.register, table.uid(1))] == [Outcome.FAIL]
        await press(pilot, ("ctrl+s", *"mistyped, 0.08 was meant", "enter"))
    assert [each.outcome for each in effective_inspections(table.register, table.uid(1))] == [Outcome.PASS]


async def test_the_keys_land_on_the_first_line_that_waits(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("space", *"0.08", "enter", "pageup", "pagedown"))
        assert open_tag(pilot) == "HR-002"
        current = bench(pilot).board.current
        assert current is not None
        assert current.line_id == INSULATION


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (("up",), "this is the first line"),
        (("exclamation_mark",), "no reading stands here yet"),
        (("ctrl+t",), "this is measured in one way only"),
        (("pageup",), "this is the first item"),
        (("pagedown", "pagedown"), "this is the last item"),
        (("ctrl+o", "ctrl+l"), "nothing is measured at a look"),
        (("down",) * 4, "this is the end"),
        (("down", "down", "left"), "← → move along the visual list"),
    ],
)
async def test_a_key_that_goes_nowhere_says_so(tmp_path: Path, keys: tuple[str, ...], said: str) -> None:
    table = lay_table(tmp_path / "lamps.db", ("Desk lamp", LAMP), ("Standard lamp", LAMP))
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(0), table)
        await press(pilot, keys)
        assert bench(pilot).next_key_does() == said
        await press(pilot, ("up", "down"))
        assert bench(pilot).next_key_does() != said


@pytest.mark.parametrize("key", ["x", "question_mark", "exclamation_mark", "ctrl+r", "ctrl+t"])
async def test_a_key_of_a_line_says_on_the_outcome_that_it_is_not_taken(table: BenchTable, key: str) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(0), table)
        await press(pilot, ("space", *">299", "enter", "space", key))
        assert "nothing takes what you typed here" in bench(pilot).next_key_does()


@pytest.mark.parametrize(("width", "told"), [(120, True), (80, False)])
async def test_the_reading_of_last_time_stands_on_every_line_where_there_is_room(
    table: BenchTable, width: int, *, told: bool
) -> None:
    async with table.app().run_test(size=(width, 40)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, (*KETTLE_KEYS, "escape"))
        await start(pilot, table.uid(1), table)
        notes = {line.line_id: line.view.note for line in bench(pilot).board.lines if line.view is not None}
    assert notes[EARTH].startswith("last 0.08 · ") is told
    assert notes[INSULATION].startswith("last >299 · ") is told


async def test_enter_stays_on_a_reading_that_cannot_be_read_and_says_why(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("space", *"0,234", "enter", "enter"))
        screen = bench(pilot)
        assert screen.board.current is not None
        assert (screen.board.current.line_id, screen.board.current.text) == (EARTH, "0,234")
        assert screen.next_key_does().startswith("unreadable")
        assert screen.board.current.view is not None
        assert "may have a decimal comma or a thousand; type" in screen.board.current.view.note
        await press(pilot, ("9",))
        assert screen.board.current.text == "0,234"
        assert screen.next_key_does().startswith("not taken")
        await press(pilot, ("backspace", "backspace", "backspace", *"08", "enter"))
        assert screen.state.entries.typed[EARTH] == "0,08"
        assert screen.board.current.line_id == INSULATION


async def test_a_digit_is_judged_once_and_a_key_that_changes_nothing_not_at_all(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    judged: list[str] = []

    def counted(rules: CheckRules, entries: Entries, **how: Any) -> Judgement:
        judged.append(entries.earth.reading.typed if entries.earth else "")
        return judge_item(rules, entries, **how)

    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("space",))
        monkeypatch.setattr(inspection_judging, "judge_item", counted)
        await press(pilot, (*"0.08",))
        assert judged == ["0", "", "0.0", "0.08"]
        await press(pilot, ("enter", "up", "down", "question_mark", "escape", "!"))
        assert judged == ["0", "", "0.0", "0.08"]


@pytest.mark.parametrize("keys", ["0.0z\r>299\r \r", "0.\r299\r \r\r", "1,234\r5\r \r\r\r"])
async def test_keys_that_arrive_with_an_unreadable_reading_are_judged_as_nothing_else(
    table: BenchTable, keys: str
) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await burst(pilot, f" {keys}")
        screen = bench(pilot)
        assert screen.state.entries.typed == {EARTH: keys.partition("\r")[0]}
        assert screen.state.judged is not None
        assert screen.state.judged.outcome is Outcome.INCOMPLETE
    assert effective_inspections(table.register, table.uid(1)) == []


async def test_an_arrow_leaves_an_unreadable_reading_where_it_stands_and_the_item_incomplete(
    table: BenchTable,
) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table.uid(1), table)
        await burst(pilot, " 1,234\x1b[B>299\r \r\r\r")
        screen = bench(pilot)
        assert open_tag(pilot) == "HR-002"
        assert screen.state.entries.typed == {EARTH: "1,234", INSULATION: ">299"}
        assert screen.state.judged is not None
        assert screen.state.judged.outcome is Outcome.INCOMPLETE
        await press(pilot, ("pageup", "pagedown"))
        assert screen.state.entries.typed == {EARTH: "1,234", INSULATION: ">299"}
    assert effective_inspections(table.register, table.uid(1)) == []
