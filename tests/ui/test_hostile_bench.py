"""Names that already stand in a register and look like markup, on the Bench.

What all hostile names do to a terminal, on every screen, is tested on one: `tests/terminal`.
"""

from collections.abc import Sequence
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.events import Paste
from textual.pilot import Pilot

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.values.text import is_hidden
from appreg.ui.app import AppregApp
from tests.hostile_names import HOSTILE_NAMES, MARKUP_NAMES
from tests.ui.bench_register import KETTLE, LAMP, BenchTable, bench_of, lay_table

AT_ONCE = 10


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", *((f"Lamp {place}", LAMP) for place in range(AT_ONCE)))


def spoil(table: BenchTable, names: Sequence[str]) -> None:
    """Put the names where an import of damaged data could leave them."""
    register = table.register
    with register.change("test") as change:
        for item, name in zip(register.find(Appliance), names, strict=False):
            change.put(replace(item, name=name, notes=name))
        for site in register.find(Site):
            change.put(replace(site, name=names[0]))
        for location in register.find(Location):
            change.put(replace(location, name=names[0]))


def seen(pilot: Pilot[None]) -> str:
    lines = pilot.app.screen._compositor.render_strips()
    assert all(not segment.style.meta.get("@click") for line in lines for segment in line if segment.style)
    return "".join(line.text for line in lines)


async def test_no_name_acts_on_the_bench(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        app = pilot.app
        assert isinstance(app, AppregApp)
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.pause()
        for start in range(0, len(MARKUP_NAMES), AT_ONCE):
            spoil(table, MARKUP_NAMES[start : start + AT_ONCE])
            for key in ("pagedown",) * (AT_ONCE - 1) if start % (2 * AT_ONCE) == 0 else ("pageup",) * (AT_ONCE - 1):
                await pilot.press(key)
                assert not any(is_hidden(character) for character in seen(pilot))
        assert bench_of(app).board.lines


@pytest.mark.parametrize("typed", ["[@click=app.quit]", "[/]", "=1+1", "[red]", "$(reboot)", "'; DROP"])
async def test_what_is_typed_into_a_reading_is_only_text(tmp_path: Path, typed: str) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE))
    async with table.app().run_test(size=(80, 24)) as pilot:
        app = pilot.app
        assert isinstance(app, AppregApp)
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.pause()
        await pilot.press("space", *typed, "enter")
        await pilot.pause()
        line = next(line for line in bench_of(app).board.lines if line.line_id == "earth-continuity")
        assert line.text == typed
        assert line.view is not None
        assert line.view.word == "unreadable"
        assert typed in line.view.note
        assert app.is_running
        seen(pilot)


async def test_what_is_pasted_into_a_reading_is_drawn_and_judged_as_text(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE))
    async with table.app().run_test(size=(80, 24)) as pilot:
        app = pilot.app
        assert isinstance(app, AppregApp)
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.pause()
        await pilot.press("space")
        for name in [name for name in HOSTILE_NAMES if any(map(is_hidden, name))][::5]:
            app.post_message(Paste(name))
            await pilot.pause()
            assert not any(is_hidden(character) for character in seen(pilot))
        assert app.is_running
