"""When memory that nothing refers to is searched for: never between a key and its frame, but in the gap behind it.

A full search looks at every object there is and stops the program meanwhile. What is made before the first screen,
most of it modules, is left out of it for good.
"""

import asyncio
import gc
import time
from typing import Final

LOOKS_EVERY: Final = 0.25
"""Seconds from one look whether nobody types to the next."""
IDLE_AFTER: Final = 0.5
"""Seconds without a key after which nobody is taken to be typing."""
_WORTH_IT: Final = 2
"""Searches of what is middle-aged since the last full one; with fewer there is hardly anything to be found."""
_SOONER: Final = 8
"""As many after which a full one comes although keys come without a gap: where Python waits longer, more has gathered, and
what has gathered takes longer to be given back than all that stays."""
FRAME_OUT: Final = 0.015
"""Seconds in which the frame of a key has surely been written, once all that the key set going is done."""


class IdleCollecting:
    """Keeps full searches for garbage out of the way of a person who types."""

    def __init__(self) -> None:
        """Leave out what exists; young objects are looked for as before, which takes no time."""
        self._key_at = time.monotonic()
        self._before = gc.get_threshold()
        self._soon: asyncio.TimerHandle | None = None
        """The search in the gap behind a key."""
        gc.freeze()
        gc.set_threshold(self._before[0], self._before[1], _SOONER)

    def key_came(self) -> None:
        """Somebody types: what was to come in the gap behind the last key waits for the next gap."""
        self._key_at = time.monotonic()
        self._wait()

    def key_done(self) -> None:
        """All that a key set going is done: search through everything once its frame is out, where it is worth it."""
        if gc.get_count()[2] >= _WORTH_IT:
            self._wait()
            self._soon = asyncio.get_running_loop().call_later(FRAME_OUT, gc.collect)

    @property
    def nobody_types(self) -> bool:
        """No key has come for a while."""
        return time.monotonic() - self._key_at > IDLE_AFTER

    def look(self) -> None:
        """Search through everything that work without a key has left."""
        if self.nobody_types and gc.get_count()[2] >= _WORTH_IT:
            gc.collect()

    def end(self) -> None:
        """Leave it to Python again."""
        self._wait()
        gc.set_threshold(*self._before)

    def _wait(self) -> None:
        if self._soon is not None:
            self._soon.cancel()
            self._soon = None
