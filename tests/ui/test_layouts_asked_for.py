"""How often a key has the whole screen laid out anew: once where something takes other rows than before, else never."""

from pathlib import Path

import pytest
from textual.app import App
from textual.pilot import Pilot
from textual.screen import Screen

from appreg.core.records.kept_records import Appliance, Inspection
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.shell.held_frames import LONGEST
from tests.ui.bench_register import LAMP, WHO, lay_table

SIZE = (120, 40)
LAMPS = [("Desk lamp", LAMP)] * 45
"""More than a list shows at once."""


@pytest.fixture(name="layouts")
def _layouts(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The screens that were laid out, once for each time."""
    told: list[str] = []
    lay_out = Screen._refresh_layout

    def noted(screen: Screen[None], *given: object, **named: object) -> None:
        told.append(type(screen).__name__)
        lay_out(screen, *given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(Screen, "_refresh_layout", noted)
    return told


async def _laid_out(layouts: list[str], pilot: Pilot[None], *keys: str) -> int:
    """How often keys had it laid out, once what they set going is drawn."""
    await pilot.pause(LONGEST)
    layouts.clear()
    await pilot.press(*keys)
    await pilot.pause(LONGEST)
    return len(layouts)


async def test_neither_a_digit_on_the_bench_nor_a_save_has_anything_laid_out(
    tmp_path: Path, layouts: list[str]
) -> None:
    table = lay_table(tmp_path / "register.db", *LAMPS[:3])
    app = table.app()
    async with app.run_test(size=SIZE) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.press("space", "greater_than_sign", "2")
        assert await _laid_out(layouts, pilot, "9") == 0
        assert await _laid_out(layouts, pilot, "9") == 0
        await pilot.press("enter", "space")
        assert await _laid_out(layouts, pilot, "enter") == 0
        assert len(table.register.find(Inspection)) == 1
    table.register.close()


async def test_a_caution_that_takes_rows_is_laid_out_once(tmp_path: Path, layouts: list[str]) -> None:
    table = lay_table(tmp_path / "register.db", *LAMPS[:1])
    app = table.app()
    async with app.run_test(size=SIZE) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.pause(LONGEST)
        before = _rows_of_caution(app)
        laid_out = await _laid_out(layouts, pilot, "space")
        assert before < _rows_of_caution(app)
        assert laid_out == 1
    table.register.close()


def _rows_of_caution(app: App[None]) -> int:
    return app.screen.query_one("#caution").size.height


async def test_a_letter_and_an_item_of_the_walk_round_have_nothing_laid_out(tmp_path: Path, layouts: list[str]) -> None:
    table = lay_table(tmp_path / "register.db", *LAMPS)
    seed_categories(table.register, WHO)
    app = table.app()
    async with app.run_test(size=SIZE) as pilot:
        app.open_screen("walk_round", site=table.visit.site)
        await pilot.press(*"desk lam")
        assert await _laid_out(layouts, pilot, "p") == 0
        assert await _laid_out(layouts, pilot, "enter") == 0
        assert len(table.register.find(Appliance)) == len(LAMPS) + 1
    table.register.close()
