"""What the Bench has room for on a terminal: which parts stand, how large, and what is left for the lines."""

from collections.abc import Mapping
from typing import Final

from textual.geometry import Size

WIDE: Final = 110
"""Columns from which the walk and the last time stand beside the lines."""
_TALL: Final = (100, 36)
"""Columns and rows from which reading and outcome are twice as large."""
_LARGE_TAG: Final = 140
"""Columns from which the tag is too."""
_SHORT: Final = 30
"""Rows below which the next dates are told only on the outcome."""
_LOW: Final = 22
"""Rows below which there is none for what is told of the line at hand."""
_FLAT: Final = 18
"""Rows below which nothing but the outcome is large."""
_NARROW: Final = 72
"""Columns below which what the next key does stands beneath the outcome."""


def room_classes(size: Size) -> Mapping[str, bool]:
    """Each class of the screen that follows from the size of the terminal, and whether it holds."""
    tall = size.width >= _TALL[0] and size.height >= _TALL[1]
    return {
        "-wide": size.width >= WIDE,
        "-tall": tall,
        "-large-tag": tall and size.width >= _LARGE_TAG,
        "-short": size.height < _SHORT,
        "-low": size.height < _LOW,
        "-flat": size.height < _FLAT,
        "-narrow": size.width < _NARROW,
    }


def rows_for_lines(size: Size) -> int:
    """The rows that the lines have, with one for a caution and one for advice."""
    given = {name for name, held in room_classes(size).items() if held}
    place = 1 if "-low" in given else 2
    head = 6 if "-large-tag" in given else 3 if "-flat" in given else 4
    in_hand = 9 if "-tall" in given else 0 if "-flat" in given else 3
    outcome = 7 if "-tall" in given else 5 if "-narrow" in given else 4
    told = (0 if "-low" in given else 1) + (0 if "-short" in given else 1)
    return size.height - place - head - in_hand - outcome - told - 3
