"""What is recorded of an inspection says how each check was measured."""

from pathlib import Path

import pytest

from appreg.core.judging.methods import method_words, readings_in
from appreg.core.judging.several_readings import parse_readings
from appreg.core.records.checks import Check, EarthCurrent, EarthEntry, Entries
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.outcomes import CheckResult
from appreg.tasks.inspecting.record_inspection import record_inspection
from tests.ui.bench_register import KETTLE, WHO, BenchTable, lay_table


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Kettle", KETTLE))


def test_a_record_keeps_the_method_and_all_readings_of_each_finding(table: BenchTable) -> None:
    readings = parse_readings("0.05/0.09", Check.EARTH_CONTINUITY)
    assert readings[0] is not None
    saved = record_inspection(
        table.register,
        WHO,
        appliance=table.uid(0),
        visit=table.visit.uid,
        kind=InspectionKind.COMBINED,
        entries=Entries(
            visual=True,
            earth=EarthEntry(reading=readings[0], test_current=EarthCurrent.MA200),
            several={Check.EARTH_CONTINUITY: readings},
        ),
    )
    earth = next(each for each in saved.findings if each.check_name == Check.EARTH_CONTINUITY)
    assert (earth.reading, readings_in(earth.method, earth.reading)) == ("0.09", ("0.05", "0.09"))
    assert method_words(earth.method) == "test current 200 mA · each place"
    assert {each.method for each in saved.findings if each.finding == CheckResult.NOT_DONE} == {""}
