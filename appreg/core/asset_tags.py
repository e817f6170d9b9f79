"""Tags: how long one may be, and the order in which people look for them."""

import re
from typing import Final

LONGEST_TAG: Final = 24
"""Characters that a label has room for."""
_RUNS: Final = re.compile(r"\d+|\D+")


def tag_order(tag: str) -> tuple[tuple[int, int, str], ...]:
    """A key that sorts KL-999 before KL-1000: figures by their value, letters by the alphabet."""
    return tuple((1, 0, run) if not run.isdecimal() else (0, int(run), run) for run in _RUNS.findall(tag))
