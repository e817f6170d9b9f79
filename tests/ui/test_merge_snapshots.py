"""How a trial of a merge and what it leaves to be settled look, with texts that would break a careless screen."""

from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot
from textual.widgets import Input

from appreg.core.records.kept_records import Appliance
from appreg.tasks.records.change_record import change_record
from appreg.ui.app import AppregApp
from tests.postgres_server import of_a_file
from tests.tasks.merged_desks import START, TODAY, Desk, add_kettle, first_desk
from tests.ui.test_merge_screens import command, press

pytestmark = of_a_file("the copies are files")
LONG = "behind the stage " * 17


@pytest.fixture
def other(tmp_path: Path) -> tuple[Desk, Path]:
    """A register and a copy of it that contests three fields of one item and gave a tag again."""
    one, school = first_desk(tmp_path / "one")
    two = one.copied_to(Desk(tmp_path / "two", ahead=-3))
    for desk, make, name in ((one, "[red]Kiln & Co[/]", "קומקום מטבח"), (two, "=1+1 Mill", "Kettle – Łódź")):
        with desk.open() as register:
            who = "Ann" if desk is one else "Bea"
            item = register.get(Appliance, school.items[1].uid)
            change_record(register, who, replace(item, make=make, name=name, notes=f"{LONG}{who}"))
            add_kettle(register, school.site, school.location, f"[b]{who} {LONG}"[:200].strip())
    return one, two.path


@pytest.mark.parametrize(("size", "settled"), [((120, 40), False), ((80, 24), True)], ids=["120x40", "80x24"])
def test_a_merge_looks_as_it_should(
    snap_compare: Any, other: tuple[Desk, Path], size: tuple[int, int], *, settled: bool
) -> None:
    desk, path = other

    async def keys(pilot: Pilot[None]) -> None:
        await command(pilot, "take in another")
        pilot.app.screen.query_one(Input).value = str(path)
        await press(pilot, "ctrl+s")
        await press(pilot, *(("m", "down", "down") if settled else ("down",)))

    with desk.open() as register:
        app = AppregApp(register, today=TODAY, who="Ann", clock=lambda: START)
        assert snap_compare(app, terminal_size=size, run_before=keys)
