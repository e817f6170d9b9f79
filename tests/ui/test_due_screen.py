import re
from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, QueuedLabel, Visit
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.ui.app import AppregApp
from appreg.ui.screens.due import due_screen
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.widgets.beside import Beside
from tests.tasks.worked_site import combined, worked_site
from tests.ui.list_register import TODAY, app_on, build_register, tagged


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "due.appreg")


async def open_due(pilot: Pilot[None]) -> DueScreen:
    await pilot.pause()
    await pilot.press("f3")
    await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, DueScreen)
    return screen


def rows(screen: DueScreen) -> list[str]:
    table = screen.table
    return [table.render_line(y).text for y in range(1, min(table.row_count, table.size.height - 1) + 1)]


def said(screen: DueScreen, place: str) -> str:
    return str(screen.query_one(place, Static).render())


async def test_the_board_counts_what_waits_and_lists_it_soonest_first(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_due(pilot)
        assert "overdue" in said(screen, "#counts")
        assert "withdrawn 1" in said(screen, "#counts")
        days = [
            line.days
            for line in (screen._rows.item(screen.table._view.key(n)) for n in range(screen.table.row_count))
            if line
        ]
        dated = [each for each in days if each is not None]
        assert dated == sorted(dated)
        assert days[-2:] == [None, None]
        assert not any("KL-002" in row for row in rows(screen))
        assert any("[red]Kiln[/red]" in row for row in rows(screen))


async def test_a_failure_at_a_social_landlords_stands_on_the_board_with_its_28_days(tmp_path: Path) -> None:
    with worked_site(tmp_path, landlord_profile="gb-england-social") as here:
        here.record(here.kettle(), combined(earth="0.52"), here.visit(TODAY))
        async with app_on(here.register).run_test(size=(120, 40)) as pilot:
            screen = await open_due(pilot)
            (row,) = (row for row in rows(screen) if "Kettle" in row)
            assert "mend" in row
            assert " 28" in row
            assert "put right by" in said(screen, "#in-full")


async def test_beside_the_list_a_late_repair_is_as_loud_as_what_is_overdue(tmp_path: Path) -> None:
    with worked_site(tmp_path, landlord_profile="gb-england-social") as here:
        here.record(here.kettle(), combined(earth="0.52"), here.visit(TODAY - timedelta(days=40)))
        async with app_on(here.register).run_test(size=(120, 40)) as pilot:
            screen = await open_due(pilot)
            (row,) = (row for row in rows(screen) if "Kettle" in row)
            assert "repair late" in row
            lines = screen.query_one(Beside).lines
            assert [(line.words, line.style) for line in lines[:2]] == [
                ("mend due 12 Nov 2026", "$fail"),
                ("12 days late", "$fail"),
            ]
            words = [line.words for line in lines]
            assert "nothing is due while it is withdrawn" in words
            assert not any(said.startswith(("next look", "next test")) for said in words)
            await pilot.press("t")
            assert screen.table.words_when_empty() == "nothing here is overdue: t shows the others"


async def test_the_state_stays_in_the_list_beside_the_item(register: Register) -> None:
    for size in ((120, 40), (80, 24)):
        async with app_on(register).run_test(size=size) as pilot:
            screen = await open_due(pilot)
            assert [row for row in rows(screen) if " overdue" in row]
            assert "lines" in screen.pane._counts()


async def test_looking_further_ahead_shows_more_and_nearer_shows_less(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_due(pilot)
        counts = [screen.table.row_count]
        await pilot.press("plus", "plus", "plus", "plus", "plus", "plus")
        counts.append(screen.table.row_count)
        assert "due in 365 days" in said(screen, "#counts")
        await pilot.press(*["minus"] * 12)
        counts.append(screen.table.row_count)
        assert "due in 0 days" in said(screen, "#counts")
        assert counts[1] > counts[0] >= counts[2]


async def test_one_state_at_a_time_can_be_shown(register: Register) -> None:
    async with app_on(register).run_test(size=(200, 60)) as pilot:
        screen = await open_due(pilot)
        everything = screen.table.row_count
        shown = []
        for state in ("overdue", "due soon", "never inspected"):
            await pilot.press("t")
            assert f"shown: {state}" in said(screen, "#counts")
            assert all(state in row for row in rows(screen))
            shown.append(screen.table.row_count)
        assert sum(shown) == everything
        await pilot.press("t")
        assert (screen.table.row_count, screen.table.words_when_empty().split(":")[0]) == (
            0,
            "nothing here is repair late",
        )
        await pilot.press("t")
        assert screen.table.row_count == everything


async def test_one_site_can_be_shown(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_due(pilot)
        await pilot.press("s")
        await pilot.pause()
        await pilot.press(*"kiln", "enter")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert rows(screen)
        assert all("KL-" in row for row in rows(screen))
        await pilot.press("s")
        await pilot.pause()
        await pilot.press("home", "enter")
        await pilot.pause()
        assert any("HR-" in row for row in rows(screen))


async def test_chosen_items_are_withdrawn_together_with_a_reason(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_due(pilot)
        await pilot.press("slash", *"HR-001", "enter", "space", "slash", "escape", "slash", *"HR-003", "enter", "space")
        await pilot.press("w")
        await pilot.pause()
        await pilot.press(*"cord cut", "ctrl+s")
        await pilot.pause()
        for tag in ("HR-001", "HR-003"):
            item = tagged(register, tag)
            assert item.state is ServiceState.WITHDRAWN
            assert "cord cut" in item.notes
        assert not screen.table.choice.keys
        assert "withdrawn 3" in said(screen, "#counts")


async def test_leaving_the_reason_withdraws_nothing(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await open_due(pilot)
        before = register.find(Appliance)
        await pilot.press("w")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause()
        assert register.find(Appliance) == before


async def test_a_missing_item_is_marked_missing(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await open_due(pilot)
        await pilot.press("slash", *"HR-004", "enter", "m")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert tagged(register, "HR-004").state is ServiceState.MISSING


async def test_labels_are_queued_once_for_items_with_a_result(register: Register) -> None:
    with register.change("test") as change:
        for label in register.find(QueuedLabel):
            change.remove(label)
        soon = TODAY + timedelta(days=10)
        change.put(replace(tagged(register, "HR-001"), next_visual=soon, next_test=soon))
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await open_due(pilot)
        await pilot.press("ctrl+a", "l")
        await pilot.pause()
        queued = {label.appliance for label in register.find(QueuedLabel)}
        assert tagged(register, "HR-001").uid in queued
        assert tagged(register, "HR-002").uid not in queued, "what is overdue gets no pass"
        assert tagged(register, "HR-006").uid not in queued
        assert len(queued) == len(register.find(QueuedLabel))


async def test_enter_opens_the_item_and_escape_comes_back_to_the_same_row(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_due(pilot)
        await pilot.press("down", "down")
        key = screen.table.cursor_key
        await pilot.press("enter")
        await pilot.pause()
        assert type(pilot.app.screen).__name__ == "ItemScreen"
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert screen.table.cursor_key == key


async def test_the_bench_opens_on_todays_visit(register: Register, monkeypatch: pytest.MonkeyPatch) -> None:
    item = tagged(register, "HR-001")
    earlier = register.find(Visit, site=item.site)[0]
    visit = start_visit(register, "test", site=item.site, on=TODAY, person=earlier.person)
    opened: list[tuple[object, object]] = []
    monkeypatch.setattr(AppregApp, "open_bench", lambda _app, *, visit, appliance: opened.append((visit, appliance)))
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await open_due(pilot)
        await pilot.press("slash", *"HR-001", "enter", "b")
        await pilot.pause()
        assert opened == [(visit.uid, item.uid)]


async def test_without_a_visit_today_the_bench_first_asks_for_one(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        await open_due(pilot)
        await pilot.press("slash", *"HR-001", "enter", "b")
        await pilot.pause()
        assert type(pilot.app.screen).__name__ == "FormScreen"


async def test_a_long_list_shows_its_first_lines_at_once_and_the_rest_from_a_thread(
    register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app_on(register).run_test(size=(200, 60)) as pilot:
        short = rows(await open_due(pilot))
    monkeypatch.setattr(due_screen, "FEW_LINES", 3)
    monkeypatch.setattr(due_screen, "FIRST_LINES", 2)
    async with app_on(register).run_test(size=(200, 60)) as pilot:
        screen = await open_due(pilot)
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert rows(screen) == short
        assert "KL-003" in said(screen, "#in-full")
        await pilot.press("t")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert all("overdue" in row for row in rows(screen))
        await pilot.press("slash", *"wheel", "enter", "enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert isinstance(pilot.app.screen, ItemScreen)


async def test_sites_and_due_count_the_same_and_name_what_they_count(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        sums = str(pilot.app.screen.query_one("#sums", Static).render())
        counted = re.search(r"12 items: overdue (\d+) items, .* never inspected (\d+) items", sums)
        assert counted is not None
        screen = await open_due(pilot)
        assert re.search(rf"overdue {counted[1]} items, \d+ inspections", said(screen, "#counts"))
        assert f"never inspected {counted[2]} items" in said(screen, "#counts")


async def test_at_120_columns_the_item_that_is_due_stands_beside_the_list(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_due(pilot)
        beside = screen.query_one(Beside)
        assert beside.display
        first = beside.heading
        assert any("due " in line.words for line in beside.lines)
        await pilot.press("end")
        await pilot.pause()
        assert beside.heading != first
        await pilot.resize_terminal(119, 40)
        await pilot.pause()
        assert not beside.display
