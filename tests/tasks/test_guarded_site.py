from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.checks import EarthEntry, Entries, InsulationEntry
from appreg.core.records.kept_records import InspectionKind, Site
from appreg.core.values.outcomes import Outcome
from appreg.core.values.readings import Unit, parse_reading
from appreg.tasks.inspecting.open_bench import open_bench
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.state_uncertainty import accuracy_of
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId, Mark
from appreg.ui.screens.bench.bench_judging import judge_bench
from appreg.ui.screens.bench.bench_lines import visual_line
from tests.ui.bench_register import KETTLE, TODAY, WHO, BenchTable, lay_table

ACCURACY = "earth-continuity: 5 % + 2 × 0.01; insulation: 30 %"


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE), accuracy=ACCURACY)


def outcome_of(table: BenchTable, *, guarded: bool) -> Outcome:
    site = table.register.get(Site, table.visit.site)
    change_record(table.register, WHO, replace(site, guarded=guarded))
    saved = record_inspection(
        table.register,
        WHO,
        appliance=table.uid(0),
        visit=table.visit.uid,
        kind=InspectionKind.COMBINED,
        entries=Entries(
            visual=True,
            functional=True,
            earth=EarthEntry(reading=parse_reading("0.12", Unit.OHM)),
            insulation=InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM)),
        ),
    )
    return saved.inspection.outcome


def test_a_reading_close_to_its_limit_passes_by_simple_acceptance_only(table: BenchTable) -> None:
    assert outcome_of(table, guarded=False) is Outcome.PASS
    assert outcome_of(table, guarded=True) is Outcome.FAIL


@pytest.mark.parametrize("guarded", [False, True])
def test_the_bench_shows_the_outcome_that_is_recorded(table: BenchTable, guarded: bool) -> None:
    recorded = outcome_of(table, guarded=guarded)
    item = open_bench(table.register, table.uid(0), today=TODAY)
    entries = BenchEntries().marking([visual_line(line.id) for line in item.visual_lines], Mark.OK)
    entries = entries.marking([LineId("functional")], Mark.OK)
    entries = entries.typing(LineId("earth-continuity"), "0.12", "12:00:00")
    entries = entries.typing(LineId("insulation"), ">299", "12:00:00")
    stated = accuracy_of(item.history[0].instrument)
    assert judge_bench(item, entries, stated).outcome is recorded
