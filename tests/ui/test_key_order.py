"""Keys are worked off in their order, each when all that the one before set going is done, however they arrive."""

import asyncio
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.binding import Binding
from textual.pilot import Pilot
from textual.widgets import Input

from appreg.core.records.kept_records import Appliance
from appreg.register.opening.register_file import Register
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.app import AppregApp
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.screens.walk_round.walk_round_screen import WalkRoundScreen
from appreg.ui.shell.key_map import every_command
from appreg.ui.shell.terminal_driver import KeyStream
from tests.ui.bench_register import KETTLE, LAMP, WHO, BenchTable, bench_of, lay_table

Apps = Callable[[], AppregApp]
PATIENCE = 500
"""Pauses in which a burst is surely worked off."""


async def burst(pilot: Pilot[None], keys: str) -> None:
    """Everything at once, as a paste into a terminal that knows of no pastes brings it."""
    app = pilot.app
    assert isinstance(app, AppregApp)
    for event in KeyStream().feed(keys.encode()):
        app.post_message(event)
    for _ in range(PATIENCE):
        await pilot.pause()
        if not (app._waiting or app.is_settling):
            break


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    table = lay_table(tmp_path / "register.db", ("Kettle", KETTLE))
    seed_categories(table.register, WHO)
    return table


def names(register: Register) -> list[str]:
    return [item.name for item in sorted(register.find(Appliance), key=lambda item: item.tag)]


@pytest.mark.parametrize("line_end", ["\r", "\n"])
async def test_each_line_of_a_burst_is_an_item(table: BenchTable, line_end: str) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await burst(pilot, "akettle\rtoaster\r3 desk lamp\r".replace("\r", line_end))
        assert isinstance(pilot.app.screen, WalkRoundScreen)
    assert names(table.register) == ["Kettle", "Kettle", "Toaster", "Desk lamp", "Desk lamp", "Desk lamp"]


async def test_the_same_again_adds_at_once_and_as_it_was_meant(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await burst(pilot, "alamp\x1b[B\r\x1b[1;2B\x1b[1;2B")
    first, *again = names(table.register)[1:]
    assert again == [first, first]
    added = [item for item in table.register.find(Appliance) if item.name == first]
    assert len({item.category for item in added}) == 1


async def test_a_reading_and_enter_of_a_burst_stay_together(table: BenchTable) -> None:
    async with table.app().run_test(size=(80, 24)) as pilot:
        await burst(pilot, "v 0.08\r>299\r")
        assert isinstance(pilot.app, AppregApp)
        entries = bench_of(pilot.app).state.entries
    assert sorted(entries.typed.values()) == ["0.08", ">299"]


@pytest.mark.parametrize(
    "pieces", [[">299"], [*">299"], ["\x1b[200~>299\x1b[201~"]], ids=["at-once", "one-by-one", "pasted"]
)
async def test_the_same_figure_typed_over_one_that_was_kept_is_read_anew(tmp_path: Path, pieces: list[str]) -> None:
    table = lay_table(tmp_path / "lamps.db", ("Desk lamp", LAMP), ("Desk lamp", LAMP))
    app = table.app()
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await burst(pilot, " >299\r \r")
        await burst(pilot, "\x1b[5~ ")
        bench = bench_of(app)
        assert bench.board.current is not None
        line = bench.board.current.line_id
        assert line in bench.state.entries.carried
        for piece in pieces:
            await burst(pilot, piece)
        assert line not in bench.state.entries.carried
    table.register.close()


async def test_what_follows_the_key_of_the_filter_goes_into_the_filter(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await burst(pilot, "\x1b[19~/kl-002\r\r")
        assert isinstance(app.screen, ItemScreen)
        assert "KL-002" in "\n".join(line.text for line in app.screen._compositor.render_strips())


async def test_what_follows_the_key_of_another_screen_goes_there(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await burst(pilot, "\x1bOR/glue")
        assert isinstance(app.screen, DueScreen)
        assert app.screen.query_one(Input).value == "glue"
        assert app.screen.query_one(VirtualTable).arrangement.text == "glue"


def test_every_control_key_reaches_its_command_while_a_field_has_the_keyboard() -> None:
    edits = {key for each in Binding.make_bindings(Input.BINDINGS) for key in each.key.split(",")}
    lost = [
        (placed.command.id, key)
        for placed in every_command()
        for key in placed.command.keys
        if key.startswith("ctrl+") and key in edits and placed.typed_over and not placed.command.priority
    ]
    assert lost == []


def test_no_command_takes_the_key_that_clears_a_line() -> None:
    assert [placed.command.id for placed in every_command() if "ctrl+u" in placed.command.keys] == []


async def test_keys_typed_before_the_first_screen_stands_wait_for_it(table: BenchTable) -> None:
    app = table.app()
    for event in KeyStream().feed(b"a"):
        app.post_message(event)
    async with app.run_test(size=(80, 24)) as pilot:
        await burst(pilot, "kettle\r")
        assert isinstance(app.screen, WalkRoundScreen)
    assert names(table.register) == ["Kettle", "Kettle"]


async def test_a_field_that_is_taken_away_is_waited_for_no_longer(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = table.app()
    async with app.run_test(size=(100, 40)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await pilot.press("space", "0")
        field = app.screen.focused
        assert isinstance(field, Input)
        monkeypatch.setattr(field, "call_later", lambda *_: True)  # it has gone before it comes to the question
        waiting = asyncio.create_task(bench_of(app).board.arrived())
        await pilot.pause(0.1)
        assert not waiting.done()
        await field.remove()
        await asyncio.wait_for(waiting, 5)
