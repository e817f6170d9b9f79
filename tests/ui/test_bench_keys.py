"""The Bench driven by keys alone; keystroke budgets are counted from an item's opening to the next item's."""

from collections.abc import Iterable
from pathlib import Path

import pytest
from textual.events import DescendantFocus, Key
from textual.pilot import Pilot

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import FindingRecord, Inspection, InspectionKind, LabelKind, QueuedLabel
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections, findings_of
from appreg.tasks.inspecting.keep_bench_draft import bench_draft
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_drafts import DRAFT_AFTER
from appreg.ui.screens.bench.bench_entries import LineId, entries_from_json
from appreg.ui.screens.bench.bench_words import EARTH_CAUTION, INSULATION_CAUTION
from appreg.ui.screens.bench.remark_screen import RemarkScreen
from appreg.ui.screens.bench.visit_sum_screen import VisitSumScreen
from appreg.ui.screens.bench.why_screen import WhyScreen
from appreg.ui.shell.key_words import with_present_keys
from appreg.ui.widgets.outcome_block import OutcomeBlock
from tests.old_labels import old_code
from tests.ui.bench_register import KETTLE, LAMP, MICROWAVE_OVEN, RCD_LEAD, BenchTable, bench_of, lay_table
from tests.ui.list_register import clock_with_gap

NAMED = {">": "greater_than_sign", ".": "full_stop"}
INSULATION, EARTH = LineId("insulation"), LineId("earth-continuity")
LAMP_KEYS = ("space", *">299", "enter", "space", "enter")
KETTLE_KEYS = ("space", *"0.08", "enter", *">299", "enter", "space", "enter")


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(
        tmp_path / "register.db", ("Desk lamp", LAMP), ("Kettle", KETTLE), ("Toaster", KETTLE), ("Oven", MICROWAVE_OVEN)
    )


async def start(pilot: Pilot[None], table: BenchTable, place: int = 0) -> None:
    app = pilot.app
    table_app = bench_app(app)
    table_app.open_bench(visit=table.visit.uid, appliance=table.uid(place))
    await settle(pilot)


def bench_app(app: object) -> AppregApp:
    assert isinstance(app, AppregApp)
    return app


async def settle(pilot: Pilot[None]) -> None:
    for _ in range(3):
        await pilot.pause()


async def press(pilot: Pilot[None], keys: Iterable[str]) -> None:
    await pilot.press(*keys)
    await settle(pilot)


def open_tag(pilot: Pilot[None]) -> str:
    item = bench_of(bench_app(pilot.app)).state.item
    assert item is not None
    return item.appliance.tag


def inspections(table: BenchTable, place: int) -> list[Inspection]:
    return effective_inspections(table.register, table.uid(place))


def findings(table: BenchTable, place: int) -> dict[str, FindingRecord]:
    last = inspections(table, place)[0]
    return {finding.check_name: finding for finding in findings_of(table.register, last.uid)}


def labels(table: BenchTable, place: int) -> list[LabelKind]:
    return [label.kind for label in table.register.find(QueuedLabel, appliance=table.uid(place))]


async def test_a_class_two_lamp_takes_at_most_ten_keys(table: BenchTable) -> None:
    assert len(LAMP_KEYS) <= 10
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, LAMP_KEYS)
        assert open_tag(pilot) == "HR-002"
    assert [each.outcome for each in inspections(table, 0)] == [Outcome.PASS]
    assert findings(table, 0)["insulation"].reading == ">299"
    assert labels(table, 0) == [LabelKind.PASS]


async def test_a_class_one_kettle_takes_at_most_fifteen_keys(table: BenchTable) -> None:
    assert len(KETTLE_KEYS) <= 15
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table, 1)
        await press(pilot, KETTLE_KEYS)
        assert open_tag(pilot) == "HR-003"
    assert [each.outcome for each in inspections(table, 1)] == [Outcome.PASS]
    assert findings(table, 1)["earth-continuity"].reading == "0.08"


async def test_keys_typed_ahead_in_one_burst_land_on_their_own_lines(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        for key in (*LAMP_KEYS, *KETTLE_KEYS):
            character = " " if key == "space" else key if len(key) == 1 else None
            pilot.app.post_message(Key(NAMED.get(key, key), character))
        for _ in range(60):
            await pilot.pause()
        assert open_tag(pilot) == "HR-003"
    assert findings(table, 0)["insulation"].reading == ">299"
    assert findings(table, 1)["earth-continuity"].reading == "0.08"
    assert findings(table, 1)["insulation"].reading == ">299"


async def test_a_failed_earth_closes_the_rest_and_the_item_is_withdrawn_and_labelled(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table, 1)
        await press(pilot, ("space", *"1.5"))
        board = bench_of(bench_app(pilot.app)).board
        assert str(board.query_one("#caution").render()) == EARTH_CAUTION
        await press(pilot, ("enter",))
        assert board.at_outcome
        await press(pilot, ("enter",))
        assert open_tag(pilot) == "HR-002"
        await press(pilot, ("enter",))
        assert open_tag(pilot) == "HR-003"
    assert table.item(1).state is ServiceState.WITHDRAWN
    assert labels(table, 1) == [LabelKind.DO_NOT_USE]
    assert findings(table, 1)["insulation"].finding == "not-done"


async def test_a_habit_typed_past_a_failed_earth_keeps_nothing_unseen(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table, 1)
        await press(pilot, ("space", *"1.5", "enter", *">299", "enter", "space", "enter"))
        assert open_tag(pilot) == "HR-002"
        assert inspections(table, 1) == []
        await press(pilot, (*"7",))
        assert "nothing takes what you typed" in bench_of(bench_app(pilot.app)).next_key_does()


async def test_one_key_fails_a_thing_looked_at_and_asks_for_its_remark(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("right", "right", "x"))
        assert isinstance(pilot.app.screen, RemarkScreen)
        await press(pilot, (*"cut", "enter"))
        await press(pilot, ("space",))
        assert bench_of(bench_app(pilot.app)).board.at_outcome
        await press(pilot, ("enter", "enter"))
    assert inspections(table, 0)[0].outcome is Outcome.FAIL
    assert findings(table, 0)["visual"].remark == "cord: cut"


async def test_leaving_the_remark_leaves_the_line_as_it_was(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("x", "a", "escape"))
        entries = bench_of(bench_app(pilot.app)).state.entries
    assert entries.is_untouched


async def test_pressing_fail_again_takes_it_back(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("x", "a", "enter", "x"))
        assert bench_of(bench_app(pilot.app)).state.entries.is_untouched


async def test_an_unreadable_reading_stays_with_its_reason_and_cannot_be_kept(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("space", *"1,234", "enter", "space", "ctrl+s"))
        screen = bench_of(bench_app(pilot.app))
        line = screen.board.current
        assert line is not None
        assert (line.line_id, line.text) == ("insulation", "1,234")
        assert line.view is not None
        assert line.view.word == "unreadable"
        assert "decimal comma" in line.view.note
    assert inspections(table, 0) == []


async def test_an_incomplete_item_is_kept_only_after_asking_once_more(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("space", "enter", "space", "enter"))
        assert inspections(table, 0) == []
        assert open_tag(pilot) == "HR-001"
        await press(pilot, ("enter",))
        assert open_tag(pilot) == "HR-002"
    assert inspections(table, 0)[0].outcome is Outcome.INCOMPLETE
    assert inspections(table, 0)[0].missing == ("insulation",)
    assert labels(table, 0) == []


async def test_a_repeated_reading_is_kept_with_every_attempt(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table, 1)
        await press(pilot, ("space", *"0.15", "exclamation_mark", *"0.09", "enter", *">299", "enter", "space", "enter"))
    earth = findings(table, 1)["earth-continuity"]
    assert earth.reading == "0.09"
    assert [attempt.partition(" ")[2] for attempt in earth.attempts] == ["0.15", "0.09"]


async def test_undo_takes_the_last_inspection_back_and_lays_its_entries_out_again(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, LAMP_KEYS)
        await press(pilot, ("ctrl+z",))
        screen = bench_of(bench_app(pilot.app))
        assert open_tag(pilot) == "HR-001"
        assert screen.state.entries.typed[INSULATION] == ">299"
        assert inspections(table, 0) == []
        assert labels(table, 0) == []
        await press(pilot, ("ctrl+s",))
        assert open_tag(pilot) == "HR-002"
    assert len(inspections(table, 0)) == 1


async def test_a_half_filled_bench_is_offered_again_after_a_crash(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table, 2)
        await press(pilot, ("space", *"0.0"))
        await pilot.pause(DRAFT_AFTER * 2)
        kept = bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(2))
        assert kept is not None
    async with table.app().run_test(size=(80, 24)) as pilot:
        bench_app(pilot.app).open_bench(visit=table.visit.uid)
        await settle(pilot)
        assert open_tag(pilot) == "HR-003"
        screen = bench_of(bench_app(pilot.app))
        assert screen.state.entries.typed[EARTH] == "0.0"
        assert screen.next_key_does().startswith("resumed 1")
        await press(pilot, ("ctrl+n",))
        assert screen.state.entries.is_untouched
        assert screen.next_key_does() == ""


@pytest.mark.parametrize("key", ["f2", "escape", "ctrl+q"])
async def test_leaving_the_bench_at_once_keeps_the_last_keystroke(table: BenchTable, key: str) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await pilot.press("space", *">299", key)
        await settle(pilot)
    draft = bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0))
    assert draft is not None
    assert entries_from_json(draft.body).typed[INSULATION] == ">299"


@pytest.mark.usefixtures("patient_scans")
async def test_a_label_scanned_in_the_middle_of_a_reading_opens_its_item_and_loses_nothing(table: BenchTable) -> None:
    app = table.app()
    app.clock = clock_with_gap(5)
    async with app.run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("space", *">29"))
        for character in old_code(table.uid(2)):
            pilot.app.post_message(Key(character, character))
        pilot.app.post_message(Key("enter", None))
        await settle(pilot)
        assert open_tag(pilot) == "HR-003"
        await press(pilot, ("pageup", "pageup"))
        assert bench_of(bench_app(pilot.app)).state.entries.typed[INSULATION] == ">29"


async def test_a_skipped_item_keeps_what_was_entered(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("space", *">29", "pagedown"))
        assert open_tag(pilot) == "HR-002"
        await press(pilot, ("pageup",))
        assert open_tag(pilot) == "HR-001"
        assert bench_of(bench_app(pilot.app)).state.entries.typed[INSULATION] == ">29"


async def test_the_five_hundred_volt_caution_stands_until_the_first_insulation_test(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("space",))
        caution = bench_of(bench_app(pilot.app)).board.query_one("#caution")
        assert str(caution.render()) == with_present_keys(INSULATION_CAUTION, {})
        await press(pilot, LAMP_KEYS[1:])
        await press(pilot, ("space", *"0.08", "enter"))
        assert bench_of(bench_app(pilot.app)).board.current_check == "insulation"
        assert str(caution.render()) == ""


async def test_a_key_adds_leakage_and_another_turns_its_method(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table, 1)
        await press(pilot, ("ctrl+l",))
        board = bench_of(bench_app(pilot.app)).board
        assert "leakage" in [line.line_id for line in board.lines]
        board.go_to("leakage")
        await press(pilot, ("ctrl+t", "ctrl+t", "ctrl+t"))
        assert "leakage/volts" in [line.line_id for line in board.lines]
        await press(pilot, ("ctrl+l",))
        assert "leakage" not in [line.line_id for line in board.lines]


async def test_a_key_marks_the_item_unsuitable_for_500_v_and_leakage_takes_its_place(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table, 1)
        await press(pilot, ("ctrl+y",))
        lines = [line.line_id for line in bench_of(bench_app(pilot.app)).board.lines]
    assert "leakage" in lines
    assert "insulation" not in lines
    assert table.item(1).unsuitable_500v


async def test_space_says_that_the_device_did_not_trip_at_half_its_current(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "lead.db", ("Reel", RCD_LEAD))
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(
            pilot,
            (
                "space",
                *"0.1",
                "enter",
                "space",
                *">299",
                "enter",
                "space",
                *"22/28",
                "enter",
                "enter",
                "enter",
                "space",
                "ctrl+s",
            ),
        )
        assert isinstance(pilot.app.screen, VisitSumScreen)
    assert findings(table, 0)["rcd-0.5x"].reading == "none"
    assert findings(table, 0)["rcd-1x"].reading == "28"
    assert findings(table, 0)["rcd-1x"].attempts[-1].endswith("22/28")
    assert inspections(table, 0)[0].outcome is Outcome.PASS


async def test_look_only_records_a_formal_visual_inspection(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("ctrl+o", "space", "enter"))
        assert open_tag(pilot) == "HR-002"
    assert inspections(table, 0)[0].kind is InspectionKind.VISUAL
    assert inspections(table, 0)[0].outcome is Outcome.PASS


async def test_why_shows_arithmetic_source_and_what_would_change_the_verdict(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table, 1)
        await press(pilot, ("space", *"0.08", "question_mark"))
        assert isinstance(pilot.app.screen, WhyScreen)
        text = "\n".join(str(static.render()) for static in pilot.app.screen.query("Static"))
        await press(pilot, ("enter",))
        line = bench_of(bench_app(pilot.app)).board.current
        assert line is not None
        assert line.text == "0.08"
    assert "0.1 + 26.0 mΩ/m × 0.8 m = 0.1208 Ω" in text
    assert "CoP" in text
    assert "second-hand" in text
    assert "a reading up to 0.1208 Ω passes" in text


async def test_the_last_item_is_followed_by_the_sum_of_the_visit(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, LAMP_KEYS)
        await press(pilot, KETTLE_KEYS)
        await press(pilot, ("space", *"1.5", "enter", "enter", "enter"))
        await press(pilot, ("space", "ctrl+s"))
        assert isinstance(pilot.app.screen, VisitSumScreen)
        page = str(pilot.app.screen.query_one("#sum").render())
        assert "    2  passed" in page
        assert "    1  failed" in page
        assert "    1  incomplete" in page
        assert "    3  labels wait" in page
        assert "HR-003  Toaster" in page
        await press(pilot, ("enter",))
        assert open_tag(pilot) == "HR-004"


async def test_from_the_sum_of_the_visit_find_goes_on_with_an_item_of_it(table: BenchTable) -> None:
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        app.push_screen(VisitSumScreen(visit=table.visit.uid), bench_of(app).walk._after_sum)
        await press(pilot, ("ctrl+g", *"hr", "minus", *"003", "enter"))
        assert open_tag(pilot) == "HR-003"


async def test_a_second_inspection_of_a_passed_item_asks_whether_the_first_was_mistyped(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, LAMP_KEYS)
        await press(pilot, ("pageup", *LAMP_KEYS))
        assert isinstance(pilot.app.screen, RemarkScreen)
        await press(pilot, (*"mistyped", "enter"))
        assert open_tag(pilot) == "HR-002"
    last = inspections(table, 0)
    assert len(last) == 1
    assert last[0].reason == "mistyped"


async def test_the_sum_of_the_visit_can_take_the_last_inspection_back(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "one.db", ("Desk lamp", LAMP))
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, LAMP_KEYS)
        assert isinstance(pilot.app.screen, VisitSumScreen)
        await press(pilot, ("ctrl+z",))
        assert open_tag(pilot) == "HR-001"
    assert inspections(table, 0) == []


async def test_late_news_that_the_outcome_has_the_keys_swallows_no_enter(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("space", "down", "down", "enter"))
        bench = bench_of(bench_app(pilot.app))
        assert (bench.board.at_outcome, bench.state.asked_once) == (True, True)
        bench.post_message(DescendantFocus(bench.board.query_one(OutcomeBlock)))
        await press(pilot, ("enter",))
    assert [each.outcome for each in effective_inspections(table.register, table.uid(0))] == [Outcome.INCOMPLETE]


async def test_a_line_that_has_the_keys_in_between_lets_the_outcome_ask_anew(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await start(pilot, table)
        await press(pilot, ("space", "down", "down", "enter", "up", "down", "enter"))
        assert effective_inspections(table.register, table.uid(0)) == []
