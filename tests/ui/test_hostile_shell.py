"""Names that already stand in a register and look like markup, on the screens of the shell.

What all hostile names do to a terminal, on every screen, is tested on one: `tests/terminal`.
"""

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.records.kept_records import Appliance, Category, Client, Location, Person, Site
from appreg.core.values.text import is_hidden
from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from tests.hostile_names import MARKUP_NAMES
from tests.ui.list_register import app_on

PARTS = 3
AT_ONCE = 18


def spoil(register: Register, names: list[str]) -> None:
    """Put the names where an import of damaged data could leave them."""
    records: list[Appliance | Site | Location | Client | Person | Category] = [
        *register.find(Site),
        *register.find(Client),
        *register.find(Location),
        *register.find(Person),
        *register.find(Appliance),
    ]
    with register.change("test") as change:
        for place, record in enumerate(records):
            change.put(replace(record, name=names[place % len(names)]))


async def nothing_acts(pilot: Pilot[None]) -> None:
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    lines = pilot.app.screen._compositor.render_strips()
    assert not any(is_hidden(character) for line in lines for character in line.text)
    assert not any(segment.style.meta.get("@click") for line in lines for segment in line if segment.style)


WAYS = (
    (),
    ("enter",),
    ("c",),
    ("escape", "a"),
    ("escape", "y"),
    ("escape", "n"),
    ("escape", "escape", "v"),
    ("escape", "e", "tab"),
    ("escape", "ctrl+p"),
)


@pytest.mark.parametrize("part", range(PARTS))
async def test_no_name_acts_on_a_screen_of_the_shell(built_register: Register, part: int) -> None:
    names = list(MARKUP_NAMES)[part::PARTS]
    for start in range(0, len(names), AT_ONCE):
        spoil(built_register, names[start : start + AT_ONCE])
        app = app_on(built_register)
        async with app.run_test(size=(120, 40), notifications=True) as pilot:
            await pilot.pause()
            for keys in WAYS:
                await pilot.press(*keys)
                await nothing_acts(pilot)
            assert isinstance(pilot.app, AppregApp)
            for name in names[start : start + AT_ONCE]:
                pilot.app.say(name)
                pilot.app.warn(name)
            await nothing_acts(pilot)
            assert app.is_running
