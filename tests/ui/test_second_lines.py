"""An item with metal that is not earthed, and one with a functional earth, stated and finished by keys."""

import json
from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.cli.main import main
from appreg.core.records.appliances import Fact
from appreg.core.records.checks import Check
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.inspection_lists import effective_inspections, findings_of
from appreg.tasks.documents.write_visit_report import write_visit_report
from tests.paper.pdf_reading import whole_text
from tests.ui.bench_register import KETTLE, LAMP, TODAY, BenchTable, bench_of, lay_table
from tests.ui.test_bench_hands import app_of, press, start


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Desk lamp", LAMP), ("Kettle", KETTLE))


def lines(pilot: Pilot[None]) -> list[str]:
    return [line.line_id for line in bench_of(app_of(pilot)).board.lines]


def found(table: BenchTable, place: int) -> tuple[Outcome | None, dict[str, tuple[str, str]]]:
    """The latest outcome of an item, and each of its findings."""
    item = table.item(place)
    (inspection,) = effective_inspections(table.register, item.uid)
    findings = findings_of(table.register, inspection.uid)
    return item.last_outcome, {each.check_name: (each.reading, each.finding) for each in findings}


async def test_metal_that_is_not_earthed_gets_a_line_and_the_item_is_finished_and_told(
    table: BenchTable, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("ctrl+e", *"1 metal", "tab", *"0.75 x 0.9 measured", "enter"))
        assert lines(pilot) == ["visual", "earth-continuity", "insulation", "unearthed-insulation", "functional"]
        await press(pilot, ("space", *"0.05", "enter", *">299", "enter", *"1.5"))
        judged = bench_of(app_of(pilot)).state.judged
        assert judged is not None
        assert judged.outcome is Outcome.FAIL
        await press(pilot, ("ctrl+u", *"5", "enter", "space", "enter"))
    outcome, findings = found(table, 1)
    assert (outcome, findings["unearthed-insulation"]) == (Outcome.PASS, ("5", "pass"))
    item = table.item(1)
    assert (item.unearthed_metal, item.measured) == (True, (Fact.CORD_LENGTH.value,))
    write_visit_report(table.register, visit=table.visit.uid, out=tmp_path / "report.pdf", today=TODAY)
    report = " ".join(whole_text(tmp_path / "report.pdf").split())
    assert "metal not earthed" in report
    assert "insulation to metal not earthed" in report
    assert "measured on the item: cord length" in report
    table.register.close()
    assert main(["show", "HR-002", "--json", "--register", table.register.place]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["unearthed_metal"], told["measured"], told["latest"]["measured"]) == (
        True, ["cord-length"], ["cord-length"],
    )  # fmt: skip


async def test_the_touch_current_of_the_second_line_may_stand_for_its_insulation(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("ctrl+e", *"1 metal", "enter", "space", *"0.05", "enter", *">299", "enter", "ctrl+l"))
        assert Check.UNEARTHED_CURRENT in lines(pilot)
        await press(pilot, ("enter", *"0.2", "enter", "space", "enter"))
    outcome, findings = found(table, 1)
    assert (outcome, findings["unearthed-touch-current"]) == (Outcome.PASS, ("0.2", "pass"))
    assert "unearthed-insulation" not in findings


async def test_a_functional_earth_on_electronics_is_finished_by_its_currents(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        await start(pilot, table.uid(0), table)
        await press(pilot, ("ctrl+e", *"2 fe", "enter", "ctrl+y"))
        assert lines(pilot) == ["visual", "leakage", "functional-earth-current", "functional"]
        await press(pilot, ("space", *"0.1", "enter", *"0.3"))
        judged = bench_of(app_of(pilot)).state.judged
        assert judged is not None
        assert judged.outcome is Outcome.FAIL
        await press(pilot, ("ctrl+u", *"0.2", "enter", "space", "enter"))
        await press(pilot, ("pageup", "ctrl+e", *"2 -", "enter"))
    outcome, findings = found(table, 0)
    assert (outcome, findings["functional-earth-current"]) == (Outcome.PASS, ("0.2", "pass"))
    assert not table.item(0).functional_earth


async def test_a_measured_length_that_is_changed_is_read_and_measured_anew_is_measured(table: BenchTable) -> None:
    async with table.app().run_test(size=(100, 30)) as pilot:
        await start(pilot, table.uid(1), table)
        await press(pilot, ("ctrl+e", "tab", *"measured", "enter"))
        assert table.item(1).measured == ("cord-length",)
        assert table.item(1).cord_length_m == KETTLE["cord_length_m"]
        await press(pilot, ("ctrl+e", "tab", *"0.75 x 2", "enter"))
        assert table.item(1).measured == ()
        for length in ("3", "3.5"):
            await press(pilot, ("ctrl+e", "tab", *f"0.75 x {length} measured", "enter"))
            assert table.item(1).measured == ("cord-length",)
