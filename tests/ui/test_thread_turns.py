"""What the screen's thread does is hardly held up by a thread beside it; `tests/bench/measure_turns.py` says how much."""

import sys

import pytest

from appreg.ui.shell.terminal_app import THREAD_TURN, TerminalApp


@pytest.mark.parametrize(("headless", "turn"), [(False, THREAD_TURN), (True, None)])
async def test_turns_are_short_from_the_first_key_on_a_terminal_to_the_end(
    headless: bool, turn: float | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(TerminalApp, "is_headless", headless)
    usual = sys.getswitchinterval()
    app = TerminalApp()
    async with app.run_test():
        assert sys.getswitchinterval() == pytest.approx(usual)
        app.key_came()
        assert sys.getswitchinterval() == pytest.approx(turn or usual)
    assert sys.getswitchinterval() == pytest.approx(usual)
