"""By keys alone: two laptops' copies of one school become one, and what they contest is settled."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection
from appreg.core.values.outcomes import Outcome
from appreg.register.opening.register_file import Register
from appreg.tasks.keeping.merge_registers import given_twice_in
from appreg.tasks.keeping.settle_contests import open_contests
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.records.change_record import change_record
from appreg.ui.app import AppregApp
from appreg.ui.screens.merging.merge_screen import MergeScreen
from appreg.ui.screens.merging.settle_screen import SettleScreen
from tests.postgres_server import of_a_file
from tests.tasks.merged_desks import START, TODAY, Desk, School, add_kettle, first_desk, look

pytestmark = of_a_file("the copies are files")


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    for _ in range(3):
        await pilot.pause()


async def command(pilot: Pilot[None], words: str) -> None:
    await press(pilot, "ctrl+p", *("space" if each == " " else each for each in words), "enter")


async def typed(pilot: Pilot[None], words: str) -> None:
    for each in words:
        await pilot.press(
            {"/": "slash", ".": "full_stop", "-": "minus", "_": "underscore", " ": "space"}.get(each, each)
        )
    await pilot.pause()


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


def told(app: AppregApp) -> list[str]:
    return [each.message for each in app._notifications]


@pytest.fixture
def laptops(tmp_path: Path) -> Iterator[tuple[Register, Desk, School]]:
    """One with its register open; the other changed the same item, failed one and added another of the same tag."""
    one, school = first_desk(tmp_path / "one")
    two = one.copied_to(Desk(tmp_path / "two", ahead=-3))
    second = school.items[1].uid
    with one.open() as register:
        look(register, school, school.items[0], passes=True)
        change_record(register, "Ann", replace(register.get(Appliance, second), make="[red]Kiln & Co"))
        add_kettle(register, school.site, school.location, "Łódź kettle")
    with two.open() as register:
        look(register, school, school.items[2], passes=False)
        change_record(register, "Bea", replace(register.get(Appliance, second), make="=1+1 Mill"))
        add_kettle(register, school.site, school.location, "Other kettle")
    with one.open() as register:
        yield register, two, school


async def test_two_laptops_copies_become_one_by_keys_alone(laptops: tuple[Register, Desk, School]) -> None:
    register, two, school = laptops
    app: Any = AppregApp(register, today=TODAY, who="Ann", clock=lambda: START)
    async with app.run_test(size=(120, 40)) as pilot:
        await command(pilot, "take in another")
        await typed(pilot, str(two.path))
        await press(pilot, "ctrl+s")
        assert isinstance(app.screen, MergeScreen)
        text = screen_text(app)
        assert "1 field contested · 2 records given twice" in text
        assert "Bea 1 change" in text
        assert len(register.find(Inspection)) == 1  # nothing was changed yet
        await press(pilot, "m")
        assert isinstance(app.screen, SettleScreen)
        assert len(register.find(Inspection)) == 2
        assert register.get(Appliance, school.items[2].uid).last_outcome is Outcome.FAIL
        assert "[red]Kiln & Co (Ann," in screen_text(app)
        await press(pilot, "f2")
        assert "To be settled: 1 field contested, 2 records given twice" in screen_text(app)
        await app.open_screen("item", appliance=school.items[1].uid)
        await press(pilot)
        assert "make contested: =1+1 Mill (Bea) or [red]Kiln & Co (Ann)" in screen_text(app)
        await command(pilot, "to be settled")
        await press(pilot, "enter")  # the contest
        await press(pilot, *"Mill", "enter")
        assert register.get(Appliance, school.items[1].uid).make == "=1+1 Mill"
        assert open_contests(register) == ()
        await press(pilot, "t")
        assert told(app)[-1].startswith("No two categories are alike")
        await press(pilot, "u")
        assert register.get(Appliance, school.items[1].uid).make == "[red]Kiln & Co"
        assert told(app)[-1] == "Undone: make of appliance MS-002 is settled."
        await press(pilot, "down", "enter", "enter")
        await press(pilot, "u")  # what would be given twice again stays, and what was settled before can be undone
        assert "and stays so: else two would have one again" in told(app)[-1]
        await press(pilot, "u")
        assert told(app)[-1].startswith("Nothing was settled here")
        await press(pilot, "f2")
        assert "To be settled" not in screen_text(app) or "contested" in screen_text(app)
    assert verify_register(register) == ()
    assert given_twice_in(register) == ()
    assert len({item.tag for item in register.find(Appliance)}) == 5
    assert ServiceState.WITHDRAWN in {item.state for item in register.find(Appliance)}
