"""What is wrong in a file: where, what, and what to do; problems are gathered, never raised one by one."""

from typing import Final

from msgspec import Struct

from appreg.core.values.text import shown
from appreg.core.values.toml_places import shortened
from appreg.errors import InputRefused

LONGEST_TOLD: Final = 400
"""Characters of what is wrong, a cell among them, that a sentence tells."""


class FileProblem(Struct, frozen=True, kw_only=True):
    """One thing wrong in a file."""

    file: str
    line: int
    """From 1; the header is line 1."""
    column: str
    """Name of the column or key; empty: the whole line."""
    what: str
    """What is wrong, without a full stop."""
    todo: str
    """What to do about it, without a full stop."""

    @property
    def sentence(self) -> str:
        """The problem as one sentence."""
        place = f"{self.file}, line {self.line}" + (f", {shortened(self.column)}" if self.column else "")
        return shown(f"{place}: {shortened(self.what, LONGEST_TOLD)}; {self.todo}.")


def refuse_problems(problems: tuple[FileProblem, ...]) -> None:
    """Raise InputRefused telling the first problem and how many more there are; nothing for none."""
    if problems:
        more = len(problems) - 1
        rest = f" ({more} more like it)" if more else ""
        raise InputRefused(problems[0].sentence + rest)
