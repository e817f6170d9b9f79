from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.appliances import ServiceState
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.records.set_service_state import set_service_state
from appreg.ui.app import AppregApp
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.item.item_screen import ItemScreen
from tests.ui.list_register import app_on, build_register, tagged


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "item.appreg")


async def open_item(pilot: Pilot[None], register: Register, tag: str) -> ItemScreen:
    await pilot.pause()
    assert isinstance(pilot.app, AppregApp)
    await pilot.app.open_screen("item", appliance=tagged(register, tag).uid)
    await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, ItemScreen)
    return screen


def drawn(screen: ItemScreen, table_id: str) -> str:
    table = screen.query_one(table_id, VirtualTable)
    return "\n".join(table.render_line(y).text for y in range(table.size.height))


async def test_an_item_shows_its_inspections_newest_first_and_the_findings_of_each(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_item(pilot, register, "KL-001")
        history = drawn(screen, "#history")
        assert history.index("24 Oct 2026") < history.index("03 Nov 2025")
        assert "earth-continuity" in drawn(screen, "#findings")
        assert "≤ 0.139" in drawn(screen, "#findings")
        await pilot.press("down")
        await pilot.pause()
        assert "03 Nov 2025" in str(screen.query_one("#which", Static).render())


async def test_the_finding_under_the_cursor_says_its_arithmetic_and_source(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_item(pilot, register, "KL-001")
        await pilot.press("tab", "down")
        await pilot.pause()
        why = str(screen.query_one("#why", Static).render())
        assert "26.0 mΩ/m × 1.5 m = 0.139 Ω" in why
        assert "CoP" in why
        await pilot.press("tab")
        assert screen.query_one("#history").has_focus


async def test_a_failed_item_warns_before_anything_else(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_item(pilot, register, "KL-002")
        assert "never energise it" in str(screen.query_one("#item", Static).render())
        assert "fail" in drawn(screen, "#history")


async def test_what_was_taken_back_is_no_pass_in_the_list_nor_below_it(register: Register) -> None:
    last = tagged(register, "KL-001").last_inspection
    assert last is not None
    take_back_inspection(register, "Ann", last)
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_item(pilot, register, "KL-001")
        line = next(line for line in drawn(screen, "#history").splitlines() if "24 Oct 2026" in line)
        assert "taken back" in line
        assert "pass" not in line
        assert "taken back: it counts no more" in str(screen.query_one("#which", Static).render())


async def test_a_failed_item_does_not_return_to_service_without_a_pass(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_item(pilot, register, "KL-002")
        await pilot.press("r")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert tagged(register, "KL-002").state is ServiceState.WITHDRAWN
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen


async def test_an_item_is_withdrawn_and_brought_back(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_item(pilot, register, "HR-001")
        await pilot.press("w")
        await pilot.pause()
        await pilot.press(*"lent out", "ctrl+s")
        await pilot.pause()
        assert tagged(register, "HR-001").state is ServiceState.WITHDRAWN
        assert "lent out" in str(screen.query_one("#item", Static).render())
        await pilot.press("r")
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert tagged(register, "HR-001").state is ServiceState.IN_SERVICE


async def test_an_item_never_inspected_says_so(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_item(pilot, register, "KL-006")
        assert "never inspected" in drawn(screen, "#history")
        assert "no findings" in drawn(screen, "#findings")


async def test_a_name_like_markup_is_shown_as_it_is(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_item(pilot, register, "KL-005")
        assert "[red]Kiln[/red]" in str(screen.query_one("#item", Static).render())


async def test_of_what_is_gone_or_out_of_service_nothing_is_due(register: Register) -> None:
    for tag, state in (("HR-002", ServiceState.DISPOSED), ("HR-003", ServiceState.MISSING)):
        set_service_state(register, "test", appliance=tagged(register, tag).uid, state=state, reason="")
    set_service_state(
        register, "test", appliance=tagged(register, "KL-001").uid, state=ServiceState.DISPOSED, reason="cut up"
    )
    app = app_on(register)
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        for tag, said in (
            ("HR-002", "gone for good: nothing is due"),
            ("HR-003", "nothing is due while it is missing"),
            ("KL-001", "gone for good: nothing is due"),
        ):
            screen = await open_item(pilot, register, tag)
            lines = str(screen.query_one("#item", Static).render())
            assert said in lines
            assert "overdue" not in lines
            assert "next test" not in lines
            assert "never energise" not in lines.casefold()
        await pilot.press("b")
        await pilot.pause()
        assert pilot.app.screen == screen
        assert any("KL-001 is disposed of" in each.message for each in app._notifications)
        await pilot.press("f8")
        await app.workers.wait_for_complete()
        await pilot.pause()
        table = pilot.app.screen.query_one(VirtualTable)
        rows = [table.render_line(y).text for y in range(1, 13)]
        (gone,) = [row for row in rows if "HR-002" in row]
        (there,) = [row for row in rows if "HR-001" in row]
        assert there.count(" 202") > gone.count(" 202") == 1
