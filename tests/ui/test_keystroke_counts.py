"""What an item costs in keys: counted for items of the walk-round and of the list of categories alike."""

from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from textual.pilot import Pilot

from appreg.core.records.kept_records import Appliance, Category, InspectionKind, Location
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_screen import BenchScreen
from tests.ui.bench_register import WHO, BenchTable, lay_table

NAMED: Final = {".": "full_stop", ">": "greater_than_sign", " ": "space"}
CODES: Final = ("dla", "ket", "pmp")
CLASS_II: Final = ("space", *">299", "enter", "space", "enter")
CLASS_I: Final = ("space", *"0.08", "enter", *">299", "enter", "space", "enter")
CORD: Final = ("space", *"0.28", "ctrl+b", "enter", *">299", "enter", "space", "enter")
LOOK: Final = ("space", "enter")


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> Iterator[BenchTable]:
    table = lay_table(tmp_path / "r.sqlite")
    seed_categories(table.register, WHO)
    yield table
    table.register.close()


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(NAMED.get(key, key) for key in keys))
    for _ in range(3):
        await pilot.pause()


def of_the_list(table: BenchTable) -> list[Uid]:
    """Items added with a category chosen from the list."""
    (place,) = table.register.find(Location)
    made = []
    for code in CODES:
        (category,) = table.register.find(Category, code=code.upper())
        item = add_appliance(
            table.register, WHO, site=table.visit.site, location=place.uid, name="", category=category.uid
        )
        made.append(item.uid)
    return made


async def walked(pilot: Pilot[None], table: BenchTable) -> list[Uid]:
    """Items typed on the walk-round: three letters and Enter each."""
    before = {each.uid for each in table.register.find(Appliance)}
    for code in CODES:
        line = (*code, "enter")
        assert len(line) == 4
        await press(pilot, *line)
    made = [each for each in table.register.find(Appliance) if each.uid not in before]
    return [each.uid for each in sorted(made, key=lambda each: each.tag)]


def open_item(app: AppregApp) -> Uid | None:
    item = app.screen.state.item if isinstance(app.screen, BenchScreen) else None
    return item.appliance.uid if item else None


async def test_an_item_costs_as_many_keys_as_ever_however_it_was_made(table: BenchTable) -> None:
    assert (len(CLASS_II), len(CLASS_I), len(CORD), len(LOOK)) == (8, 13, 13 + 1, 2)
    listed = of_the_list(table)
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "a")
        tested = [*listed, *await walked(pilot, table)]
        looked_at = await walked(pilot, table)
        app.open_bench(visit=table.visit.uid, appliance=tested[0])
        await press(pilot)
        for item, keys in zip(tested, (CLASS_II, CLASS_I, CORD) * 2, strict=True):
            assert open_item(app) == item
            await press(pilot, *keys)
        await press(pilot, "ctrl+o")
        for item in looked_at:
            assert open_item(app) == item
            await press(pilot, *LOOK)
    for made, kind in ((tested, InspectionKind.COMBINED), (looked_at, InspectionKind.VISUAL)):
        for item in made:
            (kept,) = effective_inspections(table.register, item)
            assert (kept.kind, kept.outcome) == (kind, Outcome.PASS)
