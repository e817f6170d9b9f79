"""What was put off, or waited for a thread, until a screen has gone is done as far as it goes, and ends no program."""

import asyncio
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager

import pytest
from textual.css.query import NoMatches
from textual.message import Message
from textual.pilot import Pilot
from textual.widget import Widget

from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from appreg.ui.shell.command_screen import CommandScreen
from tests.ui.list_register import app_on


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

    class Asked(Message):
        """Somebody asks for it."""

    def __init__(self) -> None:
        super().__init__()
        self.done: list[str] = []
        self.has_read = asyncio.Event()
        """What it needs has been read."""
        self.waits = asyncio.Event()
        """It waits for that."""

    async def on_undoing_screen_asked(self) -> None:
        """Wait for what a thread reads, and do it."""
        self.waits.set()
        await self.has_read.wait()
        self.undone()

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


@asynccontextmanager
async def shown(register: Register) -> AsyncIterator[tuple[UndoingScreen, AppregApp, Pilot[None]]]:
    """The screen as it stands on top."""
    app = app_on(register)
    async with app.run_test() as pilot:
        screen = UndoingScreen()
        await app.push_screen(screen)
        await pilot.pause()
        yield screen, app, pilot


async def test_work_that_ends_as_its_screen_goes_is_done_and_no_fault(built_register: Register) -> None:
    async with shown(built_register) as (screen, app, pilot):
        screen.call_next(screen.undone)
        await pilot.pause()
        assert screen.done == ["undone", "shown"]
    # A screen's own is done as it goes, the app's once all have gone.
    assert screen.done == ["undone", "shown", "undone", "undone"]
    assert app.fault is None


@pytest.mark.parametrize("is_put_off", [False, True])
async def test_work_that_ends_after_its_screen_was_left_is_told_and_the_program_goes_on(
    built_register: Register, is_put_off: bool
) -> None:
    async with shown(built_register) as (screen, app, pilot):
        await app.pop_screen()
        await pilot.pause()
        told = len(app._notifications)
        if is_put_off:
            app.call_next(screen.undone_later)
        else:  # a handler that goes on once its screen has been taken apart
            screen.has_read.set()
            await screen._dispatch_message(screen.Asked())
        await pilot.pause()
        assert screen.done[-1] == "undone"
        assert app.is_running
        assert any("this was not finished" in each.message for each in list(app._notifications)[told:])
    assert app.fault is None


@pytest.mark.parametrize("quits", [False, True])
async def test_a_screen_that_is_left_while_it_waits_for_a_thread_ends_no_program(
    built_register: Register, quits: bool
) -> None:
    async with shown(built_register) as (screen, app, _):
        screen.post_message(screen.Asked())
        await screen.waits.wait()
        if quits:
            app.exit()
        else:
            app.pop_screen()
        asyncio.get_running_loop().call_later(0.1, screen.has_read.set)
    assert screen.done[0] == "undone"  # whether its widgets stand then is a matter of chance
    assert app.fault is None


async def test_what_a_screen_lacks_while_it_stands_is_a_fault_still(built_register: Register) -> None:
    async def lacking() -> None:
        async with shown(built_register) as (screen, _, pilot):
            screen.call_next(lambda: screen.query_one("#nothing"))
            await pilot.pause()

    with pytest.raises(NoMatches):
        await lacking()
