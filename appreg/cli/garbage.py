"""How often memory that nothing refers to is searched for: most commands are over before there is any worth a search."""

import gc
from typing import Final

_USUAL: Final = gc.get_threshold()
_SELDOM: Final = 100_000
"""Objects made and kept since the last search, some 13 MB; a command and the first screen load with less, in which Python would search a hundred times."""


def search_seldom() -> None:
    """Search only where a command makes very much."""
    gc.set_threshold(_SELDOM, *_USUAL[1:])


def search_as_usual() -> None:
    """Search as Python does, as for a program that stays, but never what has been loaded so far."""
    # Else the first two searches, between here and the first frame, would look at all of it: each takes ten milliseconds.
    gc.freeze()
    gc.set_threshold(*_USUAL)
