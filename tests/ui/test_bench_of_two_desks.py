"""One item on two benches: the later desk hears of the other before anything of its own is kept."""

from pathlib import Path

from textual.pilot import Pilot

from appreg.core.records.checks import EarthEntry, Entries
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.readings import Unit, parse_reading
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.tasks.inspecting.keep_bench_draft import keep_bench_draft
from appreg.tasks.inspecting.record_inspection import record_inspection
from tests.ui.bench_register import KETTLE, LAMP, BenchTable, bench_of, lay_table
from tests.ui.test_shell_screens import screen_text


async def settle(pilot: Pilot[None]) -> None:
    for _ in range(4):
        await pilot.pause()


def _inspected_elsewhere(table: BenchTable) -> None:
    failed = Entries(visual=True, earth=EarthEntry(reading=parse_reading("1.5", Unit.OHM)))
    with table.register.reopen() as other:
        record_inspection(
            other,
            "JB",
            appliance=table.uid(0),
            visit=table.visit.uid,
            kind=InspectionKind.COMBINED,
            entries=failed,
        )


async def test_an_item_inspected_at_another_desk_is_not_kept_over_in_silence(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Desk lamp", LAMP))
    app = table.app()
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await settle(pilot)
        await pilot.press("space", *"0.08")
        await settle(pilot)
        _inspected_elsewhere(table)
        bench = bench_of(app)
        typed = bench.state.entries
        await bench.keeping.keep()
        await settle(pilot)
        assert len(effective_inspections(table.register, table.uid(0))) == 1
        assert "inspected at another desk" in " ".join(screen_text(app).split())
        assert bench.state.entries == typed
        await bench.keeping.keep()
        await settle(pilot)
        assert len(effective_inspections(table.register, table.uid(0))) == 2


async def test_a_half_filled_bench_of_another_desk_is_said(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE), ("Desk lamp", LAMP))
    app = table.app()
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await settle(pilot)
        with table.register.reopen() as other:
            keep_bench_draft(other, "JB", visit=table.visit.uid, appliance=table.uid(0), at="10:00", body="{}")
        await pilot.press("space")
        bench_of(app).drafts.keep()
        await settle(pilot)
        assert "Another desk has this item" in " ".join(screen_text(app).split())
