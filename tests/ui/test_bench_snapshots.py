"""Pictures of the Bench at the smallest and the usual size."""

from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path

import pytest
from textual.app import App
from textual.pilot import Pilot

from appreg.core.records.checks import EarthEntry, Entries, InsulationEntry
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.readings import Unit, parse_reading
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.ui.app import AppregApp
from tests.ui.bench_register import KETTLE, LAMP, MICROWAVE_OVEN, RCD_LEAD, WHO, BenchTable, lay_table

Compare = Callable[..., bool]
SIZES = [(80, 24), (120, 40)]
SCENES = {
    "lamp-opened": (0, ()),
    "lamp-passed": (0, ("space", *">299", "enter", "space")),
    "kettle-with-history": (1, ("space", *"0.08")),
    "kettle-close-to-the-limit": (1, ("space", *"0.12", "enter")),
    "kettle-unreadable": (1, ("space", *"0,125", "enter")),
    "kettle-doubted": (1, ("space", *"0.00")),
    "oven-failed-earth": (2, ("space", *"1.5")),
    "lead-timed": (3, ("space", *"0.12", "enter", "space", *">299", "enter", *"none", "enter", *"22/28")),
    "hostile-name": (4, ()),
    "why": (1, ("space", *"0.08", "question_mark")),
    "remark": (0, ("right", "right", "x", *"cut near the plug")),
    "lamp-kept": (0, ("space", *">299", "enter", "space", "enter")),
}


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    table = lay_table(
        tmp_path / "register.db",
        ("Desk lamp", LAMP),
        ("Kettle", KETTLE),
        ("Microwave oven", MICROWAVE_OVEN),
        ("Reel with RCD", RCD_LEAD),
        ("[red]x[/red] [@click=app.quit]=1+1[/]", LAMP),
        accuracy="earth-continuity: 5 % + 2 × 0.01; insulation: 30 %",
    )
    for year, earth, insulation in (
        (2022, "0.06", "150"),
        (2023, "0.06", "90"),
        (2024, "0.07", "55"),
        (2025, "0.08", "21"),
    ):
        _inspect(table, date(year, 11, 20), earth, insulation)
    return table


def _inspect(table: BenchTable, on: date, earth: str, insulation: str) -> None:
    visit = start_visit(
        table.register,
        WHO,
        site=table.visit.site,
        on=on,
        person=table.visit.person,
        instrument=table.visit.instrument,
    )
    record_inspection(
        table.register,
        WHO,
        appliance=table.uid(1),
        visit=visit.uid,
        kind=InspectionKind.COMBINED,
        entries=Entries(
            visual=True,
            functional=True,
            earth=EarthEntry(reading=parse_reading(earth, Unit.OHM)),
            insulation=InsulationEntry(reading=parse_reading(insulation, Unit.MEGOHM)),
        ),
    )


def scene(app: App[None], table: BenchTable, place: int, keys: Iterable[str]) -> Callable[[Pilot[None]], object]:
    async def play(pilot: Pilot[None]) -> None:
        assert isinstance(app, AppregApp)
        app.open_bench(visit=table.visit.uid, appliance=table.uid(place))
        for _ in range(3):
            await pilot.pause()
        await pilot.press(*keys)
        for _ in range(3):
            await pilot.pause()

    return play


PICTURES = [*((name, size) for name in SCENES for size in SIZES), ("kettle-with-history", (200, 60))]


@pytest.mark.parametrize(
    ("name", "size"), PICTURES, ids=lambda part: part if isinstance(part, str) else "x".join(map(str, part))
)
def test_the_bench_looks_the_same(snap_compare: Compare, table: BenchTable, name: str, size: tuple[int, int]) -> None:
    place, keys = SCENES[name]
    app = table.app()
    assert snap_compare(app, terminal_size=size, run_before=scene(app, table, place, keys))
