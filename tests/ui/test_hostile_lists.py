"""Names that already stand in a register and look like markup, on every list screen.

What all hostile names do to a terminal, on every screen, is tested on one: `tests/terminal`.
"""

from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.values.text import is_hidden
from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from tests.hostile_names import MARKUP_NAMES
from tests.ui.list_register import app_on, build_register, tagged

PARTS = 2


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "hostile.appreg")


def spoil(register: Register, names: list[str]) -> None:
    """Put the names where an import of damaged data could leave them."""
    with register.change("test") as change:
        records: list[Appliance | Site | Location] = [
            *register.find(Appliance),
            *register.find(Site),
            *register.find(Location),
        ]
        for place, record in enumerate(records):
            change.put(replace(record, name=names[place % len(names)]))


async def seen(pilot: Pilot[None]) -> str:
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    lines = pilot.app.screen._compositor.render_strips()
    assert all(not segment.style.meta.get("@click") for line in lines for segment in line if segment.style)
    return "".join(line.text for line in lines)


@pytest.mark.parametrize("part", range(PARTS))
async def test_no_name_acts_on_a_list_screen(register: Register, part: int) -> None:
    names = list(MARKUP_NAMES)[part::PARTS]
    for start in range(0, len(names), 14):
        spoil(register, names[start : start + 14])
        app = app_on(register)
        async with app.run_test(size=(120, 40)) as pilot:
            await pilot.pause()
            for keys in (("f3", "down"), ("s",), ("escape",), ("f4", "down"), ("f8", "down")):
                await pilot.press(*keys)
                assert not any(is_hidden(character) for character in await seen(pilot))
            assert isinstance(pilot.app, AppregApp)
            await pilot.app.open_screen("item", appliance=tagged(register, "KL-001").uid)
            await pilot.press("w")
            assert not any(is_hidden(character) for character in await seen(pilot))
            await pilot.press("escape")
            assert not any(is_hidden(character) for character in await seen(pilot))
            assert app.is_running
