"""Earlier readings beside the one at hand; the trends themselves are checked against scipy elsewhere."""

from datetime import date
from pathlib import Path

import pytest

from appreg.core.judging.instrument_accuracy import parse_accuracy
from appreg.core.judging.methods import Method, likeness_kept
from appreg.core.judging.uncertainty import Zone
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.readings import Unit, parse_reading
from appreg.tasks.inspecting.open_bench import BenchItem, open_bench
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId
from appreg.ui.screens.bench.bench_judging import judge_bench, method_at_hand
from appreg.ui.screens.bench.bench_lines import bench_lines
from appreg.ui.screens.bench.bench_view import LineView, line_view, trust_in
from appreg.ui.screens.bench.item_past import past_plot, past_readings, past_words
from tests.ui.bench_register import KETTLE, TODAY, WHO, BenchTable, lay_table

ACCURACY = parse_accuracy("earth-continuity: 5 % + 2 × 0.01")
READINGS = ((2022, "0.06", ">299"), (2023, "0.06", "90"), (2024, "0.07", "55"), (2025, "0.08", "21"))


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE))


def inspect(table: BenchTable, year: int, earth: str, insulation: str) -> None:
    visit = start_visit(table.register, WHO, site=table.visit.site, on=date(year, 11, 20), person=table.visit.person)
    saved = record_inspection(
        table.register,
        WHO,
        appliance=table.uid(0),
        visit=visit.uid,
        kind=InspectionKind.COMBINED,
        entries=Entries(
            visual=True,
            functional=True,
            earth=EarthEntry(reading=parse_reading(earth, Unit.OHM)),
            insulation=InsulationEntry(reading=parse_reading(insulation, Unit.MEGOHM)),
        ),
    )
    assert saved.inspection.date.year == year


def opened(table: BenchTable, readings: int = len(READINGS)) -> BenchItem:
    for year, earth, insulation in READINGS[:readings]:
        inspect(table, year, earth, insulation)
    return open_bench(table.register, table.uid(0), today=TODAY)


def earth_view(item: BenchItem, typed: str) -> LineView:
    entries = BenchEntries().typing(LineId("earth-continuity"), typed, "12:00:00")
    line = next(line for line in bench_lines(item, entries) if line.check is Check.EARTH_CONTINUITY)
    return line_view(line, item, entries, judge_bench(item, entries), ACCURACY)


def test_earlier_readings_stand_oldest_first_with_their_trend(table: BenchTable) -> None:
    item = opened(table)
    finding = earth_view(item, "").finding
    assert finding is not None
    words = past_words(item, finding)
    assert words.startswith(
        "earlier earth, since 2022:  0.06  0.06  0.07  0.08   rising 0.0083 Ω a year, at the limit about"
    )


def test_three_readings_are_too_few_for_a_trend(table: BenchTable) -> None:
    item = opened(table, 3)
    finding = earth_view(item, "").finding
    assert finding is not None
    assert past_words(item, finding).endswith("too few readings for a trend, it takes 4")


def test_a_reading_with_a_comparator_is_shown_but_counts_for_no_trend(table: BenchTable) -> None:
    item = opened(table)
    readings = past_readings(item, Check.INSULATION)
    assert [reading.typed for reading in readings] == [">299", "90", "55", "21"]
    assert readings[0].value is None
    finding = judge_bench(item, BenchEntries()).findings[Check.INSULATION]
    assert "too few readings" in past_words(item, finding)


def test_an_inspection_taken_back_is_no_part_of_the_past(table: BenchTable) -> None:
    item = opened(table)
    take_back_inspection(table.register, WHO, item.history[0].inspection.uid)
    item = open_bench(table.register, table.uid(0), today=TODAY)
    assert [reading.typed for reading in past_readings(item, Check.EARTH_CONTINUITY)] == ["0.06", "0.06", "0.07"]


def test_an_item_without_a_past_has_no_plot_and_no_words(table: BenchTable) -> None:
    item = open_bench(table.register, table.uid(0), today=TODAY)
    finding = earth_view(item, "0.08").finding
    assert finding is not None
    assert past_words(item, finding) == ""
    assert past_plot(item, finding, today=TODAY) is None


def test_the_plot_ends_with_the_reading_at_hand_against_the_limit(table: BenchTable) -> None:
    item = opened(table)
    finding = earth_view(item, "0.09").finding
    assert finding is not None
    plot = past_plot(item, finding, today=TODAY)
    assert plot is not None
    assert plot.now == (TODAY, 0.09)
    assert (plot.limit, plot.limit_words, plot.logarithmic) == (0.1208, "0.1208", False)


def test_a_limit_within_the_uncertainty_is_said_and_drawn_as_a_band(table: BenchTable) -> None:
    view = earth_view(opened(table, 0), "0.12")
    assert view.word == "pass, close"
    assert view.note.startswith("close to the limit, U 0.026 Ω, 52.5 % sure it meets the limit")
    assert view.gauge is not None
    assert view.gauge.band is not None
    assert [str(end) for end in view.gauge.band] == ["0.0940", "0.1460"]


def test_a_reading_clear_of_the_limit_is_a_plain_pass(table: BenchTable) -> None:
    view = earth_view(opened(table, 0), "0.05")
    assert view.word == "pass"
    finding = view.finding
    assert finding is not None
    entries = BenchEntries().typing(LineId("earth-continuity"), "0.05", "12:00:00")
    item = open_bench(table.register, table.uid(0), today=TODAY)
    doubt = trust_in(finding, judge_bench(item, entries).entries, ACCURACY)
    assert doubt is not None
    assert doubt.zone is Zone.PASS


def test_the_certainty_at_the_limit_itself_is_one_half(table: BenchTable) -> None:
    # JCGM 106:2012, 8.2: simple acceptance at the limit accepts wrongly half of the time.
    assert "50 % sure" in earth_view(opened(table, 0), "0.1208").note


def test_without_a_stated_accuracy_nothing_is_said_of_doubt(table: BenchTable) -> None:
    item = opened(table, 0)
    entries = BenchEntries().typing(LineId("insulation"), "1.01", "12:00:00")
    line = next(line for line in bench_lines(item, entries) if line.check is Check.INSULATION)
    view = line_view(line, item, entries, judge_bench(item, entries), ACCURACY)
    assert (view.word, view.gauge.band if view.gauge else "") == ("pass", None)


def test_readings_of_another_test_voltage_are_no_part_of_the_trend(table: BenchTable) -> None:
    item = opened(table)
    line = next(line for line in bench_lines(item, BenchEntries()) if line.check is Check.INSULATION)
    finding = line_view(line, item, BenchEntries(), judge_bench(item, BenchEntries())).finding
    assert finding is not None
    at_250 = BenchEntries().setting(line.id, "250")
    usual = past_words(item, finding, method_at_hand(item, BenchEntries(), Check.INSULATION))
    assert usual.startswith("earlier insulation, since 2022:  >299  90  55  21")
    other = method_at_hand(item, at_250, Check.INSULATION)
    assert past_words(item, finding, other) == "earlier readings were measured in another way"
    assert past_plot(item, finding, today=TODAY, method=other) is None


def test_a_test_voltage_that_an_earlier_version_remarked_is_understood() -> None:
    assert likeness_kept("", "at 250 V d.c.; damp") == Method(test_volts=250)
    assert likeness_kept("", "") == Method()
    assert likeness_kept("{not json}", "") is None
