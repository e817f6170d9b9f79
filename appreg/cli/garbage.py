"""How often memory that nothing refers to is searched for: most commands are over before there is any worth a search."""

import gc
from typing import Final

_USUAL: Final = gc.get_threshold()
_SELDOM: Final = 50_000
"""Objects made and kept since the last search, some 5 MB; a command loads with less, in which Python would search some thirty times."""


def search_seldom() -> None:
    """Search only where a command makes very much."""
    gc.set_threshold(_SELDOM, *_USUAL[1:])


def search_as_usual() -> None:
    """Search as Python does, as for a program that stays."""
    gc.set_threshold(*_USUAL)
