"""Several pasted lines: before many are added it is asked, and those that wait are told."""

from collections.abc import Callable, Sequence, Sized
from typing import Any, Final

from appreg.core.values.text import shown
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.place_line import fitted

ASKED_FROM: Final = 20
"""Pasted lines from which it is asked first."""
_NAMED: Final = 20
"""Cells of a line within a sentence."""


def ask_before_many(screen: CommandScreen[Any], lines: Sequence[str], then: Callable[[], None]) -> None:
    """Call `then` at once for a few lines; for many ask first."""
    if len(lines) <= ASKED_FROM:
        then()
        return
    first, last = (fitted(shown(lines[at]), _NAMED) for at in (0, -1))
    add = Answer("add", f"add {len(lines)} lines, from “{first}” to “{last}”")
    question = f"{len(lines)} lines were pasted: add them? esc leaves them out"
    screen.app.push_screen(PickScreen(question, [add]), lambda key: None if key is None else then())


def waiting_words(waiting: Sized) -> str:
    """How many pasted lines wait."""
    return "1 pasted line waits" if len(waiting) == 1 else f"{len(waiting)} pasted lines wait"
