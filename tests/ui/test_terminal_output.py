"""What is drawn goes out as UTF-8 whatever the surroundings say, and a reader that has gone is told once."""

import os
from collections.abc import Callable

import pytest
from textual import events
from textual._compositor import LayoutUpdate
from textual.geometry import Size

from appreg.ui.app import AppregApp
from appreg.ui.shell.terminal_driver import TerminalOutput


def test_what_is_drawn_is_utf_8_and_half_characters_are_replaced() -> None:
    reading, writing = os.pipe()
    output = TerminalOutput(writing, lambda: None)
    output.write("─ Küche \ud800\r\n")
    output.flush()
    assert os.read(reading, 100) == "─ Küche ?\r\n".encode()
    output.close()
    os.close(reading)
    os.close(writing)


def test_a_reader_that_has_gone_is_told_once_and_nothing_is_raised() -> None:
    told: list[str] = []
    reading, writing = os.pipe()
    output = TerminalOutput(writing, lambda: told.append("gone"))
    os.close(reading)
    for _ in range(3):
        output.write("x" * 100_000)
        output.flush()
    assert told == ["gone"]
    output.close()
    os.close(writing)


@pytest.mark.parametrize("told", [((80, 24),), ((50, 12), (80, 24))])
async def test_a_size_that_the_screen_has_already_draws_everything_all_the_same(
    app_factory: Callable[[], AppregApp], monkeypatch: pytest.MonkeyPatch, told: tuple[tuple[int, int], ...]
) -> None:
    drawn: list[object] = []
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.1)
        monkeypatch.setattr(app, "_display", lambda _screen, what: drawn.append(what))
        for size in told:
            app.post_message(events.Resize(Size(*size), Size(*size)))
        await pilot.pause(0.1)
        assert any(isinstance(each, LayoutUpdate) for each in drawn)
