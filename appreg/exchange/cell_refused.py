"""A cell that cannot be read: what is wrong with it, and what to do."""

from typing import Final

from appreg.core.values.text import shown
from appreg.errors import InputRefused

_QUOTED: Final = 40
"""Characters of a cell that a sentence repeats."""


class CellRefused(InputRefused):
    """What stands in a cell is not what its field takes."""

    def __init__(self, what: str, todo: str) -> None:
        super().__init__(f"{what}; {todo}.")
        self.what = what
        """What is wrong, without a full stop."""
        self.todo = todo
        """What to do about it, without a full stop."""


def quoted(text: str) -> str:
    """What stands in a cell, safe and short enough for a sentence."""
    safe = shown(text)
    return f"“{safe if len(safe) <= _QUOTED else safe[:_QUOTED] + '…'}”"
