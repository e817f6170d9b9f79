"""Screens that nobody has opened yet are imported while nobody types, one after another.

So the first list of commands, which knows every screen, and the first Bench wait for no modules. Importing takes a tenth of
a second for some screens, so a thread does it: a key that comes meanwhile is taken.
"""

import gc
from collections.abc import Callable, Iterator
from typing import Any, Final

from appreg.ui.shell.command_screen import CommandScreen

Aside = Callable[[Callable[[], None]], object]
"""Calls something in a thread."""


class IdleLoading:
    """Imports one more screen at each look, until all are there."""

    def __init__(self, aside: Aside) -> None:
        """`aside` gets what is to be done in a thread."""
        self._aside: Final = aside
        self._screens: Iterator[type[CommandScreen[Any]]] | None = None
        self._at_work = False
        """A thread imports a screen."""
        self._all_there = False
        """Every screen is imported, and what the last is made of not yet left out of searches."""
        self.is_done = False
        """Nothing is left to be done."""

    def load_next(self) -> None:
        """Leave what the last screen is made of out of searches for garbage, and let the next be imported.

        Once all are there, their commands are gathered.
        """
        if self._at_work:
            return
        gc.collect()
        gc.freeze()
        self.is_done = self._all_there
        if not self.is_done:
            self._at_work = True
            self._aside(self._import_next)

    def _import_next(self) -> None:
        # Only here: it is not wanted before the first frame.
        from appreg.ui.shell.key_map import every_command, screen_classes  # noqa: PLC0415

        try:
            if self._screens is None:
                self._screens = screen_classes()
            if next(self._screens, None) is None:
                every_command()
                self._all_there = True
        finally:
            self._at_work = False
