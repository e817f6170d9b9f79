"""Nothing keeps the first frame waiting: no thread that reads beside it, and no search for garbage."""

import asyncio
import gc
import subprocess
import sys
from typing import Any

import pytest
from textual.app import App
from textual.screen import Screen

from appreg.cli.garbage import search_as_usual
from appreg.register.opening.register_file import Register
from appreg.ui.app import AppregApp
from appreg.ui.screens.sites import sites_screen
from tests.ui.list_register import TODAY, WHO

LOADING = """
import gc
from appreg.cli.garbage import search_seldom
search_seldom()
searches = []
gc.callbacks.append(lambda phase, _: searches.append(phase))
import appreg.cli.main, appreg.cli.open_ui, appreg.ui.app, appreg.ui.screens.sites.sites_screen
print(len(searches))
"""
"""Loads what the first frame is drawn with, and tells how often garbage was searched for."""


async def test_what_is_read_beside_begins_once_the_first_screen_was_drawn(
    built_register: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    order: list[str] = []
    display, reopen = App._display, Register.reopen

    def drawn(app: App[Any], screen: Screen[Any], cells: Any) -> None:
        if not app._batch_count:  # else it is not drawn
            order.append("drawn")
        display(app, screen, cells)

    def read(self: Register) -> Register:
        order.append("read")
        return reopen(self)

    monkeypatch.setattr(App, "_display", drawn)
    monkeypatch.setattr(Register, "reopen", read)
    for doubt in ("may_be_open", "takes_long_to_count"):
        monkeypatch.setattr(sites_screen, doubt, lambda _register: True)
    app = AppregApp(built_register, today=lambda: TODAY, who=WHO)
    async with app.run_test() as pilot, asyncio.timeout(20):
        while order.count("read") < 3:  # items in doubt, what is to be settled, and the sites' items
            await pilot.pause()
    assert order[0] == "drawn"


def test_loading_the_first_screen_searches_for_no_garbage() -> None:
    done = subprocess.run([sys.executable, "-c", LOADING], capture_output=True, text=True, check=True)
    assert done.stdout == "0\n"


def test_from_the_first_screen_on_what_was_loaded_is_left_out_of_searches() -> None:
    of_the_tests = gc.get_threshold()
    try:
        gc.unfreeze()
        gc.disable()
        search_as_usual()
        assert gc.get_freeze_count() > 10_000
        assert gc.get_count()[0] < 100
    finally:
        gc.enable()
        gc.set_threshold(*of_the_tests)
