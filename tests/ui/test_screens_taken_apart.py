"""What was put off until a screen has gone is done all the same; only showing it is left out, and nothing else."""

from collections.abc import Iterable
from pathlib import Path

import pytest
from textual.css.query import NoMatches
from textual.widget import Widget

from appreg.ui.shell.command_screen import CommandScreen
from tests.ui.list_register import app_on, build_register


class LastWord(Widget):
    """Puts something off when it goes, as work that ends just then does."""

    def on_unmount(self) -> None:
        """The screen still has this to do."""
        screen = self.screen
        assert isinstance(screen, UndoingScreen)
        screen.call_next(screen.undone)
        screen.app.call_next(screen.undone_later)


class UndoingScreen(CommandScreen[None]):
    """Does something, and then shows it."""

    def __init__(self) -> None:
        super().__init__()
        self.done: list[str] = []

    def compose_body(self) -> Iterable[Widget]:
        """One widget."""
        yield LastWord()

    def undone(self) -> None:
        """Do it and show it."""
        self.done.append("undone")
        self.show_place("Item · as it is now")
        self.done.append("shown")

    async def undone_later(self) -> None:
        """The same, waited for."""
        self.undone()


async def test_work_that_ends_as_its_screen_goes_is_done_and_no_fault(tmp_path: Path) -> None:
    with build_register(tmp_path / "r.db") as register:
        app = app_on(register)
        async with app.run_test() as pilot:
            screen = UndoingScreen()
            await app.push_screen(screen)
            screen.call_next(screen.undone)
            await pilot.pause()
            assert screen.done == ["undone", "shown"]
    # A screen's own is done as it goes, the app's once all have gone.
    assert screen.done == ["undone", "shown", "undone", "undone"]
    assert app.fault is None


async def test_work_that_ends_after_its_screen_was_left_is_done_and_no_fault(tmp_path: Path) -> None:
    with build_register(tmp_path / "r.db") as register:
        app = app_on(register)
        async with app.run_test() as pilot:
            screen = UndoingScreen()
            await app.push_screen(screen)
            await pilot.pause()
            await app.pop_screen()
            await pilot.pause()
            screen.done.clear()
            app.call_next(screen.undone_later)
            await pilot.pause()
            assert screen.done == ["undone"]
            assert app.is_running
    assert app.fault is None


async def test_what_a_screen_lacks_while_it_stands_is_a_fault_still(tmp_path: Path) -> None:
    async def lacking() -> None:
        async with app_on(register).run_test() as pilot:
            screen = UndoingScreen()
            await pilot.app.push_screen(screen)
            screen.call_next(lambda: screen.query_one("#nothing"))
            await pilot.pause()

    with build_register(tmp_path / "r.db") as register, pytest.raises(NoMatches):
        await lacking()
