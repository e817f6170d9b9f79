from decimal import Decimal
from pathlib import Path

import pytest

from appreg.core.records.appliances import EquipmentType
from appreg.core.records.checks import Check, EarthCurrent, LeakageMethod
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.tasks.inspecting.open_bench import BenchItem, open_bench
from appreg.ui.screens.bench.bench_entries import VOLTS_BY_LINES, BenchEntries, LineId, Mark
from appreg.ui.screens.bench.bench_judging import judge_bench
from appreg.ui.screens.bench.bench_lines import APPLIED_VOLTS, LOAD, LineShape, bench_lines, line_of, visual_line
from appreg.ui.screens.bench.bench_record import attempts_by_check, check_remarks, unsaveable
from appreg.ui.screens.bench.bench_view import LineView, line_view
from appreg.ui.screens.bench.bench_words import (
    EARTH_CAUTION,
    INSULATION_CAUTION,
    LEAD_CAUTION,
    VISUAL_CAUTION,
    caution_for,
    why_so,
)
from appreg.ui.shell.key_words import with_present_keys
from tests.ui.bench_register import KETTLE, LAMP, MICROWAVE_OVEN, RCD_LEAD, TODAY, Facts, lay_table


@pytest.fixture(name="kettle")
def _kettle(tmp_path: Path) -> BenchItem:
    return opened(tmp_path, KETTLE)


@pytest.fixture(name="lead")
def _lead(tmp_path: Path) -> BenchItem:
    return opened(tmp_path, RCD_LEAD)


def opened(tmp_path: Path, facts: Facts) -> BenchItem:
    table = lay_table(tmp_path / "register.db", ("Item", facts))
    return open_bench(table.register, table.uid(0), today=TODAY)


def looked(item: BenchItem, **typed: str) -> BenchEntries:
    entries = BenchEntries().marking([visual_line(line.id) for line in item.visual_lines], Mark.OK)
    for line, text in typed.items():
        entries = entries.typing(LineId(line.replace("_", "-")), text, "12:00:00")
    return entries


def works(entries: BenchEntries) -> BenchEntries:
    return entries.marking([line_of(Check.FUNCTIONAL)], Mark.OK)


def view_of(item: BenchItem, entries: BenchEntries, check: Check) -> LineView:
    judged = judge_bench(item, entries)
    line = next(each for each in bench_lines(item, entries) if each.id == line_of(check))
    return line_view(line, item, entries, judged)


def test_a_complete_kettle_passes(kettle: BenchItem) -> None:
    entries = works(looked(kettle, earth_continuity="0.08", insulation=">299"))
    assert judge_bench(kettle, entries).outcome is Outcome.PASS


def test_one_thing_not_looked_at_leaves_the_visual_check_to_do(kettle: BenchItem) -> None:
    entries = looked(kettle).marking([visual_line(kettle.visual_lines[0].id)], None)
    assert judge_bench(kettle, entries).entries.visual is None


def test_one_bad_thing_fails_the_visual_check_and_closes_all_later_lines(kettle: BenchItem) -> None:
    entries = BenchEntries().marking([visual_line(kettle.visual_lines[2].id)], Mark.BAD)
    judged = judge_bench(kettle, entries)
    assert judged.outcome is Outcome.FAIL
    assert judged.closing is Check.VISUAL
    assert judged.closed_by(Check.EARTH_CONTINUITY) is Check.VISUAL
    assert caution_for(judged, first_insulation=True) == VISUAL_CAUTION


def test_a_failed_earth_closes_the_later_lines_in_words_and_shows_the_caution(kettle: BenchItem) -> None:
    entries = looked(kettle, earth_continuity="1.5")
    judged = judge_bench(kettle, entries)
    assert judged.closing is Check.EARTH_CONTINUITY
    assert judged.closed_by(Check.EARTH_CONTINUITY) is None
    view = view_of(kettle, entries, Check.INSULATION)
    assert (view.closed, view.word, view.limit) == (True, "not done", "closed: “earth” failed")
    assert caution_for(judged, first_insulation=True) == EARTH_CAUTION


def test_an_unreadable_reading_says_why_and_never_passes(kettle: BenchItem) -> None:
    entries = works(looked(kettle, earth_continuity="0.08", insulation="plenty"))
    judged = judge_bench(kettle, entries)
    view = view_of(kettle, entries, Check.INSULATION)
    assert judged.outcome is Outcome.INCOMPLETE
    assert (view.word, view.text) == ("unreadable", "plenty")
    assert "plenty" in view.note
    assert why_so(judged) == "unreadable: insulation"


def test_an_unreadable_extra_reading_keeps_a_complete_item_from_passing(kettle: BenchItem) -> None:
    entries = works(looked(kettle, earth_continuity="0.08", insulation=">299", leakage="0,325"))
    entries = entries.toggling(line_of(Check.LEAKAGE))
    judged = judge_bench(kettle, entries)
    assert judged.outcome is Outcome.INCOMPLETE
    lost = unsaveable(judged)
    assert lost is not None
    assert lost[0] == "leakage"
    assert "leakage" in lost[1]


def test_an_inconclusive_reading_is_named_and_does_not_pass(kettle: BenchItem) -> None:
    entries = works(looked(kettle, earth_continuity="<0.5", insulation=">299"))
    judged = judge_bench(kettle, entries)
    assert judged.outcome is Outcome.INCOMPLETE
    assert why_so(judged) == "proves nothing: earth"
    assert view_of(kettle, entries, Check.EARTH_CONTINUITY).word == "inconclusive"


def test_the_limit_and_its_arithmetic_stand_beside_an_empty_field(kettle: BenchItem) -> None:
    view = view_of(kettle, BenchEntries(), Check.EARTH_CONTINUITY)
    assert view.limit == "≤ 0.1208 Ω"
    assert view.note.startswith("0.1 + 26.0 mΩ/m × 0.8 m = 0.1208 Ω")
    assert view.gauge is not None
    assert view.gauge.reading is None


def test_earlier_attempts_stand_beside_the_reading(kettle: BenchItem) -> None:
    entries = looked(kettle, earth_continuity="0.15").repeating(line_of(Check.EARTH_CONTINUITY))
    entries = entries.typing(line_of(Check.EARTH_CONTINUITY), "0.09", "12:01:00")
    assert view_of(kettle, entries, Check.EARTH_CONTINUITY).note.startswith("before: 0.15 · ")
    attempts = attempts_by_check(entries, judge_bench(kettle, entries))
    assert attempts[Check.EARTH_CONTINUITY] == ("12:00:00 0.15", "12:01:00 0.09")


def test_both_half_waves_are_typed_in_one_field_and_the_longer_is_judged(lead: BenchItem) -> None:
    entries = looked(lead, **{"rcd-1x": "28/310"})
    judged = judge_bench(lead, entries)
    assert judged.findings[Check.RCD_1X].reading == "310"
    assert judged.findings[Check.RCD_1X].result is CheckResult.FAIL


def test_of_several_readings_the_one_that_proves_least_counts_not_the_larger_figure(lead: BenchItem) -> None:
    judged = judge_bench(lead, looked(lead, **{"rcd-1x": ">250/290"}))
    assert judged.findings[Check.RCD_1X].result is CheckResult.INCONCLUSIVE


def test_one_unreadable_half_wave_makes_the_line_unreadable(lead: BenchItem) -> None:
    judged = judge_bench(lead, looked(lead, **{"rcd-1x": "28/x"}))
    assert line_of(Check.RCD_1X) in judged.problems
    assert judged.entries.rcd_trips == {}


def test_no_trip_at_half_the_current_is_typed_as_none_and_passes(lead: BenchItem) -> None:
    entries = looked(lead, **{"rcd-0.5x": "none"}).toggling(line_of(Check.RCD_HALF))
    assert judge_bench(lead, entries).findings[Check.RCD_HALF].result is CheckResult.PASS


def test_insulation_of_three_lines_is_as_good_as_the_worst(tmp_path: Path) -> None:
    item = opened(tmp_path, Facts(**{**KETTLE, "phases": 3}))
    judged = judge_bench(item, looked(item, earth_continuity="0.08", insulation=">299/0.4/>299"))
    assert judged.findings[Check.INSULATION].reading == "0.4"
    assert judged.findings[Check.INSULATION].result is CheckResult.FAIL


def test_substitute_leakage_asks_for_the_applied_voltage_and_points_at_the_scaled_value(kettle: BenchItem) -> None:
    entries = looked(kettle, leakage="0.1").toggling(line_of(Check.LEAKAGE))
    entries = entries.setting(line_of(Check.LEAKAGE), LeakageMethod.SUBSTITUTE)
    assert APPLIED_VOLTS in {line.id for line in bench_lines(kettle, entries)}
    assert judge_bench(kettle, entries).findings[Check.LEAKAGE].result is CheckResult.INCONCLUSIVE
    entries = entries.typing(APPLIED_VOLTS, "40", "12:00:00")
    view = view_of(kettle, entries, Check.LEAKAGE)
    assert view.word == "pass"
    assert view.gauge is not None
    assert view.gauge.reading is not None
    assert str(view.gauge.reading.value) == "0.575"


def test_leakage_that_nobody_asked_for_is_not_needed_and_shows_its_limit(kettle: BenchItem) -> None:
    entries = looked(kettle, insulation=">299").toggling(line_of(Check.LEAKAGE))
    view = view_of(kettle, entries, Check.LEAKAGE)
    assert (view.word, view.limit) == ("not needed", "≤ 0.75 mA")


def test_a_formal_visual_rests_on_the_list_alone(kettle: BenchItem) -> None:
    entries = looked(kettle).of_kind(InspectionKind.VISUAL)
    assert [line.shape for line in bench_lines(kettle, entries)] == [LineShape.LIST]
    assert judge_bench(kettle, entries).outcome is Outcome.PASS
    begun = looked(kettle, earth_continuity="9").of_kind(InspectionKind.VISUAL)
    assert judge_bench(kettle, begun).outcome is Outcome.INCOMPLETE


def test_remarks_tell_what_was_seen_and_said_and_the_load_is_an_entry(tmp_path: Path) -> None:
    lamp = opened(tmp_path, LAMP)
    cord = visual_line("cord")
    entries = looked(lamp, insulation=">299").marking([cord], Mark.BAD).remarking(cord, "cut near the plug")
    entries = entries.toggling(LineId("functional/load")).typing(LineId("functional/load"), "0.06", "12:00:00")
    entries = entries.remarking(line_of(Check.INSULATION), "damp")
    assert check_remarks(lamp, entries) == {Check.VISUAL: "cord: cut near the plug", Check.INSULATION: "damp"}
    judged = judge_bench(lamp, works(looked(lamp, insulation=">299", **{"functional/load": "0.06"}).toggling(LOAD)))
    assert judged.entries.load_kva == Decimal("0.06")


def test_settings_of_the_lines_go_into_what_is_judged(tmp_path: Path) -> None:
    item = opened(tmp_path, Facts(**{**KETTLE, "phases": 3}))
    entries = looked(item, earth_continuity="0.08", insulation=">299")
    entries = entries.setting(line_of(Check.EARTH_CONTINUITY), EarthCurrent.A25)
    entries = entries.setting(line_of(Check.INSULATION), VOLTS_BY_LINES[-1])
    judged = judge_bench(item, entries).entries
    assert judged.earth is not None
    assert judged.earth.test_current is EarthCurrent.A25
    assert judged.insulation is not None
    assert (judged.insulation.volts, judged.insulation.lines_linked) == (500, True)
    assert view_of(item, entries, Check.INSULATION).title == "insulation 500 V, linked"


def test_the_caution_for_25_a_on_electronics_stands_before_the_reading(tmp_path: Path) -> None:
    item = opened(tmp_path, Facts(**{**KETTLE, "unsuitable_500v": True}))
    entries = looked(item).setting(line_of(Check.EARTH_CONTINUITY), EarthCurrent.A25)
    assert view_of(item, entries, Check.EARTH_CONTINUITY).note.startswith("25 A may harm electronics")


def test_the_first_insulation_test_brings_its_caution(tmp_path: Path) -> None:
    lamp = opened(tmp_path, LAMP)
    assert caution_for(judge_bench(lamp, looked(lamp)), first_insulation=True) == INSULATION_CAUTION
    assert caution_for(judge_bench(lamp, looked(lamp)), first_insulation=False) == ""


async def test_the_caution_waits_for_the_first_item_that_it_is_about(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "waits.db", ("Kettle", KETTLE), ("Desk lamp", LAMP))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.pause()
        said = []
        for keys in (("space", *"0.08", "enter"), ("greater_than_sign", *"299", "enter", "space", "enter", "space")):
            await pilot.press(*keys)
            await pilot.pause()
            said.append(str(app.screen.query_one("#caution").render()))
        assert said[0] == ""
        assert said[1] == with_present_keys(INSULATION_CAUTION, {})
    table.register.close()


def test_the_caution_about_five_hundred_volts_stands_where_it_belongs(tmp_path: Path) -> None:
    lead: Facts = {**RCD_LEAD, "rcd": None, "rcd_rating_ma": None}
    cord: Facts = {**lead, "equipment_type": EquipmentType.CORD_SET}
    marked: Facts = {**LAMP, "unsuitable_500v": True}
    oven: Facts = {**MICROWAVE_OVEN, "heating": True}
    table = lay_table(
        tmp_path / "cautions.sqlite",
        ("Kettle", KETTLE),
        ("Cord set", cord),
        ("Marked lamp", marked),
        ("Extension lead", lead),
        ("Lamp", LAMP),
        ("Microwave oven", oven),
    )
    said = []
    for item in table.items:
        opened = open_bench(table.register, item.uid, today=TODAY, visit=table.visit.uid)
        said.append(caution_for(judge_bench(opened, BenchEntries()), first_insulation=True))
    assert said == ["", "", "", LEAD_CAUTION, INSULATION_CAUTION, INSULATION_CAUTION]
    table.register.close()
