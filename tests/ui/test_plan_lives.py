"""A plan that lives, by keys alone: what was done to it is there when one comes back, each act told, undone, done again."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.core.values.uids import Uid
from appreg.progress import Stopped
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import Register
from appreg.tasks.planning.book_visit import booked_visits
from appreg.tasks.records.add_crew import add_crew
from appreg.tasks.records.set_service_state import set_service_state
from appreg.ui.app import AppregApp
from appreg.ui.screens.plan import plan_making
from appreg.ui.screens.plan.plan_screen import PlanScreen
from appreg.ui.widgets.beside import Beside
from tests.ui.list_register import TODAY, WHO, app_on, build_register


@pytest.fixture
def register(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Register:
    monkeypatch.setenv("XDG_DOCUMENTS_DIR", str(tmp_path))
    register = build_register(tmp_path / "plan.appreg")
    add_crew(register, WHO, name="North crew", people=2, minutes_a_day=120)
    add_crew(register, WHO, name="Quay crew", people=1, minutes_a_day=60)
    return register


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


def said(screen: PlanScreen, place: str = "#said") -> str:
    return str(screen.query_one(place, Static).render())


def stood(screen: PlanScreen) -> list[tuple[str, date, str]]:
    assert screen.live is not None
    return [(v.site.name, v.day, v.crew.name if v.crew else "") for v in screen.live.visits]


def exported(folder: Path) -> bytes:
    (path,) = folder.glob("visits-*.ics")
    return path.read_bytes()


async def over_two_crews(pilot: Pilot[None]) -> PlanScreen:
    screen = await open_plan(pilot)
    await press(pilot, "g", "space", "space", "enter")
    return screen


async def test_leaving_and_coming_back_loses_neither_terms_nor_moves_nor_bookings(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await over_two_crews(pilot)
        assert {crew for _, _, crew in stood(screen)} <= {"North crew", "Quay crew"}
        assert said(screen).startswith("planned anew over 2 crews")
        await press(pilot, "down", "down", "right")
        assert " moved from " in said(screen)
        await press(pilot, "b", "ctrl+s")
        assert " booked for " in said(screen)
        left = stood(screen)
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_plan(pilot)
        assert stood(screen) == left
        assert len(screen.wishes.crews) == 2
        assert [v.booked for v in screen.live.visits if v.booked] == list(booked_visits(register))  # type: ignore[union-attr]
        await press(pilot, "u")
        assert said(screen).startswith("undone: ")
        assert booked_visits(register) == ()
        await press(pilot, "r")
        assert said(screen).startswith("done again: ")
        assert len(booked_visits(register)) == 1
    assert list(problems(register)) == []


async def test_moving_over_a_neighbour_merges_nothing_and_each_act_has_its_sentence(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "s", *"kiln", "enter")
        before = stood(screen)
        await press(pilot, "down", "d", *["backspace"] * 12, *"24 nov 2026", "ctrl+s")
        assert len(stood(screen)) == len(before)
        assert "2 visits to it stand on that day, J merges them" in said(screen)
        await press(pilot, "space", "home")
        here = screen.table.cursor_key
        if here in screen.table.choice.keys:
            await press(pilot, "down")
        await press(pilot, "J")
        assert " merged into " in said(screen)
        assert len(stood(screen)) == len(before) - 1
        await press(pilot, "u")
        assert len(stood(screen)) == len(before)
        await press(pilot, "u")
        assert stood(screen) == before
        await press(pilot, "home", "space", "down", "x")
        assert " swapped: " in said(screen)
        await press(pilot, "u", "home", "enter", "space", "t", *["backspace"] * 12, *"1 dec 2026", "ctrl+s")
        assert " split, 1 of its items on 01 Dec 2026: " in said(screen)
        assert len(stood(screen)) == len(before) + 1
        await press(pilot, "u")
        assert stood(screen) == before


async def test_a_booked_visit_is_not_moved_by_an_arrow_and_later_plans_keep_it(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "down", "down", "b", *["backspace"] * 12, *"2 feb 2027", "ctrl+s")
        (booked,) = booked_visits(register)
        assert booked.day == date(2027, 2, 2)
        before = stood(screen)
        await press(pilot, "right")
        assert stood(screen) == before
        await press(pilot, "m", *"90", "enter")
        assert screen.live is not None
        assert [v.day for v in screen.live.visits if v.booked] == [date(2027, 2, 2)]
        await press(pilot, "u")
        assert stood(screen) == before
        assert screen.wishes.capacity_minutes is None


async def test_at_120_columns_the_work_of_the_visit_stands_beside_the_list(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        beside = screen.query_one(Beside)
        assert beside.display
        first = screen.live.visits[0]  # type: ignore[union-attr]
        assert beside.heading == f"{first.site.name} · 24 Nov 2026"
        assert sum(": test, " in line.words or ": look, " in line.words for line in beside.lines) == len(
            first.inspections
        )
        await pilot.resize_terminal(100, 40)
        await pilot.pause()
        assert not screen.query_one(Beside).display


async def test_a_plan_without_hours_has_no_visit_of_thousands_of_minutes(
    register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("appreg.ui.screens.plan.plan_words.FULL_DAY", 20)
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        assert "no minutes a day are set" in said(screen, "#unlimited")
        text = [screen.table.render_line(y).text for y in range(1, 6)]
        assert any(" days" in line for line in text)


def withdrawn_elsewhere(register: Register) -> Uid:
    """Another desk takes an item out that the plan goes to."""
    with register.reopen() as other:
        item = next(each for each in other.find(Appliance) if each.tag == "HR-001")
        set_service_state(other, "JB", appliance=item.uid, state=ServiceState.DISPOSED)
    return item.uid


def planned(screen: PlanScreen) -> set[str]:
    assert screen.live is not None
    return {each.key for visit in screen.live.visits for each in visit.inspections}


async def test_an_act_reads_what_another_desk_saved_before_it(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        gone = withdrawn_elsewhere(register)
        assert gone in planned(screen)
        await press(pilot, "down", "down", "right")
        await press(pilot)
        assert " moved from " in said(screen)
        assert gone not in planned(screen)


async def test_a_booking_reads_what_another_desk_saved_while_its_form_was_open(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "b")
        gone = withdrawn_elsewhere(register)
        await press(pilot, "ctrl+s")
        await press(pilot)
        assert pilot.app.screen is screen
        assert " booked for " in said(screen)
        assert gone not in planned(screen)


async def test_after_an_act_that_was_refused_the_visits_of_a_new_plan_can_be_acted_upon(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "space", "end")
        assert {visit.site.name for visit in (screen._two() or ())} == {"Harbour Row 14", "Kiln Lane pottery"}
        await press(pilot, "J")
        before = stood(screen)
        await press(pilot, "down", "right")
        assert " moved from " in said(screen)
        assert len(stood(screen)) == len(before)


async def test_what_another_desk_saved_is_read_after_an_export_too(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        await press(pilot, "e")
        gone = withdrawn_elsewhere(register)
        await press(pilot, "ctrl+s")
        await press(pilot)
        assert gone not in planned(screen)


async def test_reading_again_that_was_stopped_says_so_and_does_not_begin_for_ever(
    register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    day = [TODAY]
    async with AppregApp(register, today=lambda: day[0], who=WHO).run_test(size=(120, 40)) as pilot:
        screen = await open_plan(pilot)
        begun = []

        def stopped(*_: object, **__: object) -> None:
            begun.append(1)
            raise Stopped("The plan was not read.")

        monkeypatch.setattr(plan_making, "gather_ground", stopped)
        day[0] += timedelta(days=1)
        screen.shell.look_at_day()
        for _ in range(5):
            await press(pilot)
        assert begun == [1]
        assert pilot.app.screen is screen
        assert "not read again" in said(screen)
