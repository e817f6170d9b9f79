"""Waiting for a key's work comes to an end, also where a part of the screen never answers."""

import asyncio
import time

from textual.app import App, ComposeResult
from textual.screen import Screen
from textual.widgets import Input

from appreg.ui.orderly_app import settled


class Stuck(Input):
    """A field whose handler does not come back until it is let go."""

    def __init__(self) -> None:
        super().__init__()
        self.let_go = asyncio.Event()

    async def on_input_changed(self) -> None:
        await self.let_go.wait()


class StuckApp(App[None]):
    """Holds one such field."""

    def compose(self) -> ComposeResult:
        """The field alone."""
        yield Stuck()


async def test_a_field_that_never_answers_does_not_keep_the_program_from_ending() -> None:
    app = StuckApp()
    async with app.run_test():
        field = app.query_one(Stuck)
        field.focus()
        field.value = "a"
        await asyncio.sleep(0.05)
        began = time.monotonic()
        try:
            await asyncio.wait_for(settled(app, 0.2), 3)
        finally:
            field.let_go.set()
        assert time.monotonic() - began < 1


async def test_keys_of_a_field_that_was_just_taken_away_are_worked_off_at_once() -> None:
    app = StuckApp()
    async with app.run_test() as pilot:
        field = app.query_one(Stuck)
        await field.remove()
        app.screen.set_reactive(Screen.focused, field)  # as where the keys are sent to it while it goes
        await pilot.pause()
        assert app.focused is field
        began = time.monotonic()
        await settled(app, 3)
        assert time.monotonic() - began < 1
