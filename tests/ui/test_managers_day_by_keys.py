"""A manager's day by keys alone: worst sites, their scope of work, a plan for two crews, an interval accepted and taken back."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from icalendar import Calendar
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.records.work_records import IntervalOverride
from appreg.exchange.scope_file import read_scope_file
from appreg.tasks.planning.keep_plan import kept_plans, load_plan
from appreg.tasks.records.add_crew import add_crew
from appreg.tasks.records.add_site import add_site
from appreg.ui.screens.asking.choose_screen import ChooseScreen
from appreg.ui.screens.plan.plan_screen import PlanScreen
from tests.evidence_site import MEASURED, PASSED, SEEN, fill
from tests.tasks.worked_site import WHO, WorkedSite, worked_site
from tests.ui.list_register import app_on
from tests.ui.test_plan_lives import exported, press, said
from tests.ui.test_sites_screen import screen_text

WORST = {"Yard 1", "Yard 2", "Yard 3", "Yard 4", "Yard 5"}


@pytest.fixture
def estate(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[WorkedSite]:
    """Kettles with 400 inspections at one site, and six yards with none to five items overdue; two crews."""
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(tmp_path))
    with worked_site(tmp_path) as here:
        fill(here, [MEASURED if at % 50 == 0 else SEEN if at == 33 else PASSED for at in range(400)], items=100)
        for at in range(6):
            add_yard(here, at)
        add_crew(here.register, WHO, name="North crew", people=2, minutes_a_day=120)
        add_crew(here.register, WHO, name="Quay crew", people=1, minutes_a_day=60)
        yield here


def add_yard(here: WorkedSite, items: int) -> None:
    kettle = here.register.find(Appliance)[0]
    site = add_site(
        here.register, WHO, client=here.site.client, name=f"Yard {items}", prefix=f"Y{items}", environment="low-risk"
    )
    with here.register.change(WHO) as change:
        room = replace(here.register.get(Location, kettle.location), uid=change.new_uid(), site=site.uid, name="Shed")
        change.put(room)
        for number in range(items):
            change.put(
                replace(
                    kettle,
                    uid=change.new_uid(),
                    site=site.uid,
                    location=room.uid,
                    tag=f"Y{items}-{number:03}",
                    next_visual=date(2026, 8, 1),
                    next_test=date(2026, 9, 1),
                )
            )


async def scope_of_the_worst(pilot: Pilot[None], file: Path) -> None:
    """The five worst of the Sites screen are chosen and what is wanted there is written."""
    await press(pilot, "w", "home", *["space"] * 5, "q", "enter", "shift+home", "backspace", *str(file), "ctrl+s")


async def planned(pilot: Pilot[None]) -> PlanScreen:
    """The five worst over two crews for a year, the first visit booked, the last moved, kept and exported."""
    await press(pilot, "f6", "s")
    assert isinstance(pilot.app.screen, ChooseScreen)
    await press(pilot, *["space"] * 5, "enter")
    await press(pilot, "p", "tab", "backspace", "1", "ctrl+s")
    await press(pilot, "g", "space", "space", "enter")
    screen = pilot.app.screen
    assert isinstance(screen, PlanScreen)
    assert (screen.wishes.years, len(screen.wishes.crews), len(screen.wishes.sites)) == (1, 2, 5)
    assert "days out" in said(screen, "#comparison")
    await press(pilot, "home", "b", "tab", "tab", "tab", "down", "ctrl+s")
    await press(pilot, "end", "left")
    assert " moved from " in said(screen)
    await press(pilot, "k", "shift+home", "backspace", *"Next year", "ctrl+s")
    await press(pilot, "e", "ctrl+s")
    return screen


async def test_the_worst_sites_are_scoped_planned_booked_moved_and_exported_and_an_interval_is_taken_back(
    estate: WorkedSite, tmp_path: Path
) -> None:
    register, sent = estate.register, tmp_path / "wanted.csv"
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await press(pilot)
        await scope_of_the_worst(pilot, sent)
        screen = await planned(pilot)
        assert screen.live is not None
        visits = screen.live.visits
        await press(pilot, "f7", "down", "a", *"ok", "ctrl+s")
        assert {each.period for each in register.find(IntervalOverride)} == {"P1Y"}
        await press(pilot, "down", "b", *"damp", "ctrl+s")
        assert register.find(IntervalOverride) == []
        assert "may be lengthened" in screen_text(screen.shell)
    assert set(screen.wishes.sites) == set(read_scope_file(sent).sites)
    assert {register.get(Site, uid).name for uid in screen.wishes.sites} == WORST
    events = Calendar.from_ical(exported(tmp_path)).walk("VEVENT")
    assert len(events) == len({(visit.site.uid, visit.day) for visit in visits})
    booked = [event for event in events if str(event.get("STATUS")) in {"TENTATIVE", "CONFIRMED"}]
    assert [event.decoded("DTSTART") for event in booked] == [visits[0].day]
    (kept,) = kept_plans(register)
    assert kept.name == "Next year"
    assert len(load_plan(register, kept.uid).visits) == len(visits)
