from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_rule_book
from appreg.core.rules.rule_values import Basis
from appreg.register.opening.register_file import Register
from appreg.ui.screens.rule_book.rule_book_screen import RuleBookScreen
from tests.ui.list_register import app_on, build_register


@pytest.fixture
def register(tmp_path: Path) -> Register:
    return build_register(tmp_path / "rules.appreg")


async def open_rules(pilot: Pilot[None]) -> RuleBookScreen:
    await pilot.pause()
    await pilot.press("f5")
    await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, RuleBookScreen)
    return screen


async def test_each_book_shows_every_figure_it_has(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_rules(pilot)
        for book_id in (*RULE_BOOK_IDS, RULE_BOOK_IDS[0]):
            values = load_rule_book(book_id).values()
            assert screen.table.row_count == len(values)
            assert f"[{book_id}]" in str(screen.query_one("#books", Static).render())
            await pilot.press("b")
            await pilot.pause()


async def test_what_is_known_from_memory_only_is_marked_and_can_be_listed_alone(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_rules(pilot)
        remembered = [value for value in load_rule_book("gb").values() if value.citation.basis is Basis.MEMORY]
        assert f"{len(remembered)} from memory: check them" in str(screen.query_one("#books", Static).render())
        await pilot.press("m")
        await pilot.pause()
        assert screen.table.row_count == len(remembered)
        drawn = [screen.table.render_line(y).text for y in range(1, 10)]
        assert all("memory - check" in line for line in drawn)
        assert "From memory: check it against the source" in str(screen.query_one("#in-full", Static).render())
        await pilot.press("m")
        await pilot.pause()
        assert screen.table.row_count > len(remembered)


async def test_the_figure_under_the_cursor_is_spelled_out_with_its_source(register: Register) -> None:
    async with app_on(register).run_test(size=(80, 24)) as pilot:
        screen = await open_rules(pilot)
        await pilot.press("slash", *"microwave.most", "enter")
        await pilot.pause()
        figure = next(value for value in load_rule_book("gb").values() if value.key == "microwave.most")
        told = str(screen.query_one("#in-full", Static).render())
        for part in (figure.title, figure.value, figure.unit, figure.condition, figure.citation.source, figure.key):
            assert part in told


async def test_values_sort_by_size(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_rules(pilot)
        screen.table.sort("value")
        await pilot.pause()
        shown = [screen._rows.item(screen.table._view.key(place)) for place in range(30)]
        numbers = [float(value.value.split(",")[0]) for value in shown if value is not None]
        assert numbers == sorted(numbers)


async def test_a_book_that_is_not_made_for_the_whole_job_says_so_and_what_it_lacks(register: Register) -> None:
    async with app_on(register).run_test(size=(120, 40)) as pilot:
        screen = await open_rules(pilot)
        said = {}
        for book_id in RULE_BOOK_IDS:
            said[book_id] = str(screen.query_one("#books", Static).render())
            await pilot.press("b")
            await pilot.pause()
    assert "limits and intervals only" not in said["gb"]
    for book_id in ("eu", "anz"):
        lacking = ", ".join(load_rule_book(book_id).lacking)
        assert f"limits and intervals only: for the whole job it lacks {lacking}" in said[book_id]
