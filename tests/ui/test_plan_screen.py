"""The Plan screen by keys: planned at once, a visit moved, put back, supposed otherwise, exported."""

import re
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from icalendar import Calendar
from msgspec.structs import replace
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.values.text import is_hidden
from appreg.register.opening.register_file import Register
from appreg.schedule.typed_days import rule_in_words, rule_typed
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.planning.plan_visits import PlanWishes
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.plan import plan_words
from appreg.ui.screens.plan.plan_screen import PlanScreen
from appreg.ui.screens.plan.planned_visit_screen import PlannedVisitScreen
from appreg.ui.shell.place_line import PlaceLine
from tests.hostile_names import HOSTILE_NAMES
from tests.postgres_server import can_be_kept
from tests.ui.list_register import TODAY, app_on, build_register


@pytest.fixture
def register(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Register:
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(tmp_path))
    return build_register(tmp_path / "plan.appreg")


async def press(pilot: Pilot[None], *keys: str) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def open_plan(pilot: Pilot[None]) -> PlanScreen:
    await pilot.pause()
    await press(pilot, "f6")
    screen = pilot.app.screen
    assert isinstance(screen, PlanScreen)
    return screen


def rows(table: VirtualTable) -> list[str]:
    return [table.render_line(y).text[2:] for y in range(1, min(table.row_count, table.size.height - 1) + 1)]


def said(screen: PlanScreen, place: str) -> str:
    return str(screen.query_one(place, Static).render())


async def test_the_plan_is_made_at_once_and_held_against_two_other_ways(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        assert said(screen, "#comparison").startswith("plan ")
        assert "whenever due" in said(screen, "#comparison")
        assert "yearly everything" in said(screen, "#yearly")
        assert "no plan has fewer than" in said(screen, "#proof")
        assert said(screen, "#late").startswith("nothing goes overdue that a visit could reach")
        assert "Tue 24 Nov 2026" in rows(screen.table)[0]
        assert {"Harbour Row 14", "Kiln Lane pottery"} == {row.visit.site.name for row in screen._rows._items.values()}


async def test_a_moved_visit_says_at_once_what_goes_overdue_and_undo_puts_it_back(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        before = rows(screen.table)
        await press(pilot, "down", "down", "right")
        late = said(screen, "#late")
        assert late.startswith("overdue 1 day: ")
        assert "(1 item late)" in said(screen, "#comparison")
        assert rows(screen.table) != before
        await press(pilot, "left")
        assert said(screen, "#late").startswith("nothing goes overdue that a visit could reach")
        await press(pilot, "shift+right")
        assert "overdue 5 days" in said(screen, "#late")
        for _ in range(3):
            await press(pilot, "u")
        assert rows(screen.table) == before


async def test_a_visit_cannot_leave_the_plan(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        before = rows(screen.table)
        await press(pilot, "left")
        assert rows(screen.table) == before


async def test_enter_shows_what_is_done_on_a_visit(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await open_plan(pilot)
        await press(pilot, "enter")
        screen = pilot.app.screen
        assert isinstance(screen, PlannedVisitScreen)
        assert any("HR-001" in row for row in rows(screen.query_one(VirtualTable)))
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, PlanScreen)


async def test_one_site_can_be_planned_on_its_own_days(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "s", *"kiln", "enter")
        assert pilot.app.screen_stack[-1] == screen
        assert {row.visit.site.name for row in screen._rows._items.values()} == {"Kiln Lane pottery"}
        await press(pilot, "p", "tab", "tab", *"tue", "ctrl+s")
        assert pilot.app.screen_stack[-1] == screen
        assert all("Tue" in row for row in rows(screen.table))
        assert screen.wishes.days == "FREQ=WEEKLY;BYDAY=TU"


async def test_what_cannot_be_planned_keeps_the_form_open(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "p", "tab", "tab", *"blue moons", "ctrl+s")
        assert pilot.app.screen is not screen
        await press(pilot, "escape", "escape")
        assert pilot.app.screen_stack[-1] == screen
        assert screen.wishes == PlanWishes(start=TODAY)


async def test_a_what_if_shows_both_sides_and_saves_nothing(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "w", "tab", "tab", "tab", *"p2y", "ctrl+s")
        assert pilot.app.screen_stack[-1] == screen
        first, second, third = said(screen, "#late").split("\n")
        assert first.startswith("as it is")
        assert second.startswith("what if")
        assert first[8:] != second[8:]
        assert third == "nothing is saved · left alone: 1 other site as it is"
        assert verify_register(register) == ()


def exported(folder: Path) -> Any:
    (path,) = folder.glob("visits-*.ics")
    return Calendar.from_ical(path.read_bytes())


async def test_a_facilities_manager_finds_what_is_overdue_plans_moves_a_visit_and_exports(
    register: Register, tmp_path: Path
) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await press(pilot, "f3")
        due = pilot.app.screen
        assert isinstance(due, DueScreen)
        await press(pilot, "t")
        overdue = due.table.row_count
        assert overdue > 0
        screen = await open_plan(pilot)
        await press(pilot, "down", "down", "right", "e")
        await press(pilot, "ctrl+s")
        assert pilot.app.screen_stack[-1] == screen
    calendar = exported(tmp_path)
    counted = [re.search(r": (\d+) inspections? of", str(todo["SUMMARY"])) for todo in calendar.walk("VTODO")]
    assert sum(int(found[1]) for found in counted if found) == overdue
    days = [event.decoded("DTSTART") for event in calendar.walk("VEVENT")]
    assert len(days) == len(screen._rows._items)
    assert date(2026, 11, 24) in days


@pytest.mark.parametrize("part", range(4))
async def test_hostile_names_are_shown_and_do_nothing(register: Register, part: int) -> None:
    names = list(filter(can_be_kept, HOSTILE_NAMES))[part::4]
    with register.change("test") as change:
        for at, site in enumerate(register.find(Site)):
            change.put(replace(site, name=names[at]))
        for at, item in enumerate(register.find(Appliance)):
            change.put(replace(item, name=names[at % len(names)]))
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "down", "down", "shift+right", "enter")
        drawn = rows(pilot.app.screen.query_one(VirtualTable))
        assert len(drawn) > 0
        await press(pilot, "escape", "w")
        await press(pilot, "escape", "escape")
        assert pilot.app.screen_stack[-1] == screen
        assert not any(is_hidden(character) for row in (*drawn, *rows(screen.table)) for character in row)


@pytest.mark.parametrize(
    ("typed", "rule"),
    [
        ("tue, thu", "FREQ=WEEKLY;BYDAY=TU,TH"),
        ("Monday", "FREQ=WEEKLY;BYDAY=MO"),
        ("Mon-Fri", "FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR"),
        ("mon – wed, Sat", "FREQ=WEEKLY;BYDAY=MO,TU,WE,SA"),
        ("sat-mon", "FREQ=WEEKLY;BYDAY=SA,SU,MO"),
        ("tue-thu, wed", "FREQ=WEEKLY;BYDAY=TU,WE,TH"),
        ("Tues, Weds, Thurs", "FREQ=WEEKLY;BYDAY=TU,WE,TH"),
        ("monthly", "monthly"),
        ("mon-sometime", "mon-sometime"),
        ("FREQ=MONTHLY;BYDAY=1WE", "FREQ=MONTHLY;BYDAY=1WE"),
        ("", ""),
    ],
)
def test_days_may_be_typed_as_people_say_them(typed: str, rule: str) -> None:
    assert rule_typed(typed) == rule


@pytest.mark.parametrize("days", ["MO,TU,WE,TH,FR", "MO", "TU,TH", "MO,TU,WE,TH,FR,SA,SU"])
def test_what_is_shown_of_a_weekly_rule_is_read_back_as_that_rule(days: str) -> None:
    assert rule_typed(rule_in_words(f"FREQ=WEEKLY;BYDAY={days}")) == f"FREQ=WEEKLY;BYDAY={days}"


def test_a_weekly_rule_is_shown_as_its_days() -> None:
    assert rule_in_words("") == "Mon-Fri"
    assert rule_in_words("FREQ=WEEKLY;BYDAY=TU,TH") == "Tue, Thu"
    assert rule_in_words("FREQ=MONTHLY;BYDAY=1WE") == "FREQ=MONTHLY;BYDAY=1WE"


async def test_without_minutes_a_day_the_plan_says_so_and_a_key_sets_them(
    register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(plan_words, "FULL_DAY", 20)
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        assert "no limit a day" in screen.query_one(PlaceLine).right
        assert said(screen, "#unlimited").startswith("no minutes a day are set: the longest visit holds ")
        assert said(screen, "#unlimited").endswith("m sets them, g names crews")
        longest = max(row.visit.minutes for row in screen._rows._items.values())
        assert longest > 20
        await press(pilot, "m", *"x", "enter")
        assert isinstance(pilot.app.screen, FormScreen)
        await press(pilot, "backspace", *"45", "enter")
        assert pilot.app.screen_stack[-1] == screen
        assert "45 min a day" in screen.query_one(PlaceLine).right
        assert not screen.query_one("#unlimited").display
        assert max(row.visit.minutes for row in screen._rows._items.values()) <= 45


def test_a_visit_of_many_days_is_told_in_days_and_never_in_minutes() -> None:
    ground: Any = SimpleNamespace(has_hours=False)
    plan: Any = SimpleNamespace(visits=[SimpleNamespace(minutes=5705)], ground=ground)
    assert "the longest visit holds 12 days of 8 h" in plan_words.unlimited_words(plan)
    plan.ground.has_hours = True
    assert plan_words.unlimited_words(plan) == ""
