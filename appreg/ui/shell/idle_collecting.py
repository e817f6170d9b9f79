"""When memory that nothing refers to is searched for: never between a key and its frame, but while nobody types.

A full search looks at every object there is and stops the program meanwhile. What is made before the first screen,
most of it modules, is left out of it for good.
"""

import gc
import time
from typing import Final

LOOKS_EVERY: Final = 0.25
"""Seconds from one look whether nobody types to the next."""
IDLE_AFTER: Final = 0.5
"""Seconds without a key after which nobody is taken to be typing."""
_WORTH_IT: Final = 2
"""Searches of what is middle-aged since the last full one; with fewer there is hardly anything to be found."""
_SOONER: Final = 4
"""As many after which a full one comes although somebody types on and on: where Python waits longer, more has gathered, and
what has gathered takes longer to be given back than all that stays."""


class IdleCollecting:
    """Keeps full searches for garbage out of the way of a person who types."""

    def __init__(self) -> None:
        """Leave out what exists; young objects are looked for as before, which takes no time."""
        self._key_at = time.monotonic()
        self._before = gc.get_threshold()
        gc.freeze()
        gc.set_threshold(self._before[0], self._before[1], _SOONER)

    def key_came(self) -> None:
        """Somebody types."""
        self._key_at = time.monotonic()

    @property
    def nobody_types(self) -> bool:
        """No key has come for a while."""
        return time.monotonic() - self._key_at > IDLE_AFTER

    def look(self) -> None:
        """Search through everything, once after each stretch of work."""
        if self.nobody_types and gc.get_count()[2] >= _WORTH_IT:
            gc.collect()

    def end(self) -> None:
        """Leave it to Python again."""
        gc.set_threshold(*self._before)
