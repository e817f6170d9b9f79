"""The way of the Bench through a site: room by room, and from what was just added."""

from collections.abc import Iterable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_screen import BenchScreen
from tests.ui.bench_register import KETTLE, LAMP, WHO, BenchTable, lay_table


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    table = lay_table(tmp_path / "r.sqlite", ("Desk lamp", LAMP), ("Kettle", KETTLE))
    seed_categories(table.register, WHO)
    return table


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


def open_tag(app: AppregApp) -> str:
    assert isinstance(app.screen, BenchScreen)
    assert app.screen.state.item is not None
    return app.screen.state.item.appliance.tag


@pytest.mark.parametrize(
    ("keys", "opened"),
    [
        ((*"toaster", "enter"), "HR-003"),
        ((*"toaster", "enter", *"kettle", "enter"), "HR-003"),
        ((*"toaster", "ctrl+x", "ctrl+s", *"kettle", "enter"), "HR-004"),
        ((*"toaster", "enter", "ctrl+z"), "HR-001"),
        ((), None),
    ],
    ids=["one", "several", "one-left-out", "taken-back", "none"],
)
async def test_from_the_walk_round_the_bench_opens_at_what_was_just_added(
    table: BenchTable, keys: Iterable[str], opened: str | None
) -> None:
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "a")
        await press(pilot, *keys)
        await press(pilot, "escape")
        assert (open_tag(app) if isinstance(app.screen, BenchScreen) else None) == opened
