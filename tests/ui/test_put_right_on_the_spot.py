"""A fault that is put right while the item is on the Bench: one inspection, and what was found stays told."""

from pathlib import Path

from textual.pilot import Pilot

from appreg.core.values.outcomes import Outcome
from appreg.register.lists.evidence_rows import finished_inspections
from appreg.register.lists.inspection_lists import effective_inspections, findings_of
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.ui.screens.bench.bench_entries import LineId, entries_from_json
from tests.paper.pdf_reading import whole_text
from tests.ui.bench_register import LAMP, TODAY, bench_of, lay_table


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


async def test_a_fuse_put_right_passes_in_one_inspection_that_tells_what_was_found(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "lamps.db", ("Desk lamp", LAMP), ("Standard lamp", LAMP))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await press(pilot)
        bench = bench_of(app)
        await press(pilot, "ctrl+k")
        assert bench.next_key_does().endswith("says first what was found")
        await press(pilot, "right", "right", "x", *"20A", "enter")
        assert bench.state.judged is not None
        assert bench.state.judged.outcome is Outcome.FAIL
        await press(pilot, "ctrl+k", *"13A", "enter")
        assert bench.next_key_does() == "put right on the spot: 13A"
        await press(pilot, "ctrl+y")
        assert "is marked unsuitable for 500 V d.c." in bench.next_key_does()
        await press(pilot, "ctrl+y", "left", "left", "left")  # the cursor stays where it was
        assert bench.next_key_does() == "this is the end of the list"
        await press(pilot, "ctrl+n", "ctrl+n")
        assert bench.next_key_does() == "nothing is entered here yet"
        await press(pilot, "right", "right", "x", *"20A", "enter", "ctrl+k", *"13A", "enter", "down", "ctrl+k")
        assert bench.next_key_does().endswith("keeps this reading, then take it again")
        await press(pilot, "up")
        assert entries_from_json(bench.state.entries.to_json()) == bench.state.entries
        (line,) = bench.state.entries.put_right
        await press(pilot, "space", *">299", "enter", "space", "enter")
    (kept,) = effective_inspections(table.register, table.uid(0))
    assert kept.outcome is Outcome.PASS
    look = next(each for each in findings_of(table.register, kept.uid) if each.check_name == "visual")
    assert "found 20A; put right on the spot: 13A" in look.remark
    assert [each.rpartition(" ")[2] for each in look.attempts] == ["fail", "pass"]
    (counted,) = finished_inspections(table.register)
    assert (counted.failed, counted.failed_checks) == (True, ("visual",))
    write_visit_report(table.register, visit=table.visit.uid, out=tmp_path / "report.pdf", today=TODAY)
    text = " ".join(whole_text(tmp_path / "report.pdf").split())
    assert "Defects were found on HR-001." in text
    assert text.count("found 20A; put right on the spot: 13A") == 3
    assert "No defects were found" not in text
    assert line.startswith("visual/")


async def test_what_was_put_right_is_taken_back_where_the_line_fails_again(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "lamp.db", ("Desk lamp", LAMP))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await press(pilot)
        await press(pilot, "space", *">299", "enter", "x", *"dead", "enter", "ctrl+k", *"switch", "enter")
        bench = bench_of(app)
        assert bench.state.entries.put_right == {LineId("functional"): "switch"}
        assert [bench.state.judged and bench.state.judged.outcome] == [Outcome.PASS]
        await press(pilot, "x", *" again", "enter")
        assert bench.state.entries.put_right == {}
        assert [bench.state.judged and bench.state.judged.outcome] == [Outcome.FAIL]
