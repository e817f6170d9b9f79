"""Screens that nobody has opened yet are imported while nobody types, one after another.

So the first list of commands, which knows every screen, and the first Bench wait for no modules.
"""

import gc
from collections.abc import Iterator
from typing import Any

from appreg.ui.shell.command_screen import CommandScreen


class IdleLoading:
    """Imports one more screen at each look, until all are there."""

    def __init__(self) -> None:
        self._screens: Iterator[type[CommandScreen[Any]]] | None = None
        self._all_there = False
        """Every screen is imported, and what it is made of not yet left out of searches."""
        self.is_done = False
        """Nothing is left to be done."""

    def load_next(self) -> None:
        """Import the next screen; then gather their commands; then leave what they are made of out of searches for garbage."""
        # Only here: it is not wanted before the first frame.
        from appreg.ui.shell.key_map import every_command, screen_classes  # noqa: PLC0415

        if self._screens is None:
            self._screens = screen_classes()
        if self._all_there:
            gc.collect()
            gc.freeze()
            self.is_done = True
        elif next(self._screens, None) is None:
            every_command()
            self._all_there = True
