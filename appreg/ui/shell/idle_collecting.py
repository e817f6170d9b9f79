"""When memory that nothing refers to is searched for: never between a key and its frame, but in the gap behind it.

A search stops the program, the longer the more it looks at. So what lasts, most of it modules, is left out: what is there
before the first screen, and with a full search what was loaded since or is left by it in numbers. What was left out and is
garbage by now is looked for where the program is left alone, once it holds much more memory than before.
"""

import asyncio
import gc
import sys
import time
from typing import Final

LOOKS_EVERY: Final = 0.25
"""Seconds from one look whether nobody types to the next."""
IDLE_AFTER: Final = 0.5
"""Seconds without a key after which nobody is taken to be typing."""
_LONGEST_KEY: Final = 10.0
"""Seconds after which what a key set going is taken to be done, whoever says so."""
ALONE_AFTER: Final = 3.0
"""Seconds without a key after which a search through all there is keeps nobody waiting, at most one in WHOLE_EVERY."""
WHOLE_EVERY: Final = 60.0
"""Seconds."""
MUCH_MORE: Final = 250_000
"""Blocks of memory that it holds more than after the last search through all there is: a long day at a school adds fewer, long
lists that were opened and left add more.
"""
_AT_ONCE: Final = 10_000
"""Objects made and kept after which Python searches by itself: more than any key of the Bench or the walk-round leaves."""
_WORTH_A_LOOK: Final = 1000
"""Objects made and kept for which the young ones are searched in the gap behind a key."""
_WORTH_IT: Final = 28_000
"""Objects made and kept since the last full search; with fewer there is hardly anything to be found."""
_MANY_LEFT: Final = 16_000
"""Objects left by a full search from which they are taken to last: a Bench that is drawn anew holds fewer for a while."""
_SOONER: Final = (4, 20)
"""Searches of the young, then of the middle-aged, after which the next older are looked at although keys come without a gap."""
_MIDDLE_AGED: Final = 1
FRAME_OUT: Final = 0.015
"""Seconds in which the frame of a key has surely been written, once all that the key set going is done."""


class IdleCollecting:
    """Keeps searches for garbage out of the way of a person who types."""

    def __init__(self) -> None:
        """Leave out what exists."""
        self._key_at = self._whole_at = time.monotonic()
        self._at_work = False
        """Something that a key set going is still to be done."""
        self._before = gc.get_threshold()
        self._soon: asyncio.TimerHandle | None = None
        """The search in the gap behind a key."""
        self._gathered = 0
        """Objects made and kept between the last full search and the last of the young."""
        self._modules = self._modules_held = len(sys.modules)
        """As many were loaded when what lasts was left out, and when memory was looked at."""
        self._held = sys.getallocatedblocks()
        """Blocks that were held after the last search through all there is; what was loaded since is no garbage."""
        gc.freeze()
        gc.set_threshold(_AT_ONCE, *_SOONER)

    def key_came(self) -> None:
        """Somebody types: what was to come in the gap behind the last key waits for the next gap."""
        self._key_at, self._at_work = time.monotonic(), True
        self._wait()

    def key_done(self) -> None:
        """All that a key set going is done: search once its frame is out, where it is worth it."""
        self._key_at, self._at_work = time.monotonic(), False
        if _young() >= _WORTH_A_LOOK:
            self._wait()
            self._soon = asyncio.get_running_loop().call_later(FRAME_OUT, self._search)

    @property
    def nobody_types(self) -> bool:
        """No key has come for a while, and all that the last one set going was done as long ago."""
        return time.monotonic() - self._key_at > (_LONGEST_KEY if self._at_work else IDLE_AFTER)

    def look(self) -> None:
        """Search for what work without a key has left; where the program is left alone, through all there is."""
        now = time.monotonic()
        alone = self.nobody_types and now - self._key_at > ALONE_AFTER
        if self._modules_held != len(sys.modules):
            self._modules_held, self._held = len(sys.modules), sys.getallocatedblocks()
        if alone and self._key_at > self._whole_at and now - self._whole_at > WHOLE_EVERY and self._holds_much_more:
            self._whole_at = now
            gc.unfreeze()
            self._search_all()
            gc.freeze()
            self._held = sys.getallocatedblocks()
        elif self.nobody_types and self._gathered + _young() >= _WORTH_IT:
            self._search_all()

    @property
    def _holds_much_more(self) -> bool:
        return sys.getallocatedblocks() - self._held > MUCH_MORE

    def end(self) -> None:
        """Leave it to Python again."""
        self._wait()
        gc.set_threshold(*self._before)

    def _search(self) -> None:
        """Search among what keys have left since the last search, and through everything where that has become much."""
        self._gathered += _young()
        if self._gathered >= _WORTH_IT:
            self._search_all()
        else:
            gc.collect(_MIDDLE_AGED)

    def _search_all(self) -> None:
        gc.collect()
        self._gathered = 0
        if len(sys.modules) != self._modules or len(gc.get_objects()) > _MANY_LEFT:
            self._modules = len(sys.modules)
            gc.freeze()

    def _wait(self) -> None:
        if self._soon is not None:
            self._soon.cancel()
            self._soon = None


def _young() -> int:
    """Objects made and kept since the young were searched last, or rather more."""
    young, searched, _ = gc.get_count()
    return young + searched * _AT_ONCE
