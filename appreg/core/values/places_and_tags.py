"""Places on sheets and tags as people list them: 1-5,9 and 2:3,2:7-9 and HR-001..HR-050,HR-077."""

import re
from typing import Final

from msgspec import Struct

from appreg.core.values.asset_tags import tag_order
from appreg.errors import InputRefused

_RUN: Final = re.compile(r"(?:([0-9]{1,4}):)?([0-9]{1,4})(?:-([0-9]{1,4}))?")
_NUMBERED: Final = re.compile(r"(.*?)([0-9]{1,9})", re.DOTALL)
MOST_TAGS: Final = 5000
"""Tags of one file of labels."""
_MOST: Final = 2000
"""Places of one run; no sheet has so many."""


def read_places(text: str) -> frozenset[tuple[int, int]]:
    """Read sheets and places, say 2:3, 2:7-9; without a sheet it is the first. Raises InputRefused."""
    found: set[tuple[int, int]] = set()
    for part in filter(None, re.split(r"[,\s]+", text.strip())):
        run = _RUN.fullmatch(part)
        first, last = (int(run[2]), int(run[3] or run[2])) if run else (0, 0)
        if run is None or not 1 <= first <= last < first + _MOST:
            raise InputRefused(
                f"{part} is no place on a sheet; write places like 3 or 7-9, and 2:3 for the second sheet."
            )
        found |= {(int(run[1] or 1), place) for place in range(first, last + 1)}
    return frozenset(found)


class TagRanges(Struct, frozen=True):
    """Tags that were named one by one or from one to another, in the order in which people count."""

    runs: tuple[tuple[str, str], ...]

    @classmethod
    def read(cls, text: str) -> "TagRanges":
        """Read a list, say HR-001..HR-050,HR-077; raises InputRefused."""
        runs = []
        for part in filter(None, (each.strip() for each in text.split(","))):
            first, dots, last = part.partition("..")
            first, last = first.strip(), last.strip() if dots else first.strip()
            if not first or not last or _counted(last) < _counted(first):
                raise InputRefused(f"{part} names no tags; write one, or the first and the last as in HR-001..HR-050.")
            runs.append((first, last))
        if not runs:
            raise InputRefused("No tag is named; write one, or the first and the last as in HR-001..HR-050.")
        return cls(tuple(runs))

    def holds(self, tag: str) -> bool:
        """Tell whether a tag is among them, in capitals or not."""
        return any(_counted(first) <= _counted(tag) <= _counted(last) for first, last in self.runs)


def tags_between(text: str) -> tuple[str, ...]:
    """Every tag of a list as it is counted on, in capitals: HR-009..HR-011,HR-020 are four. Raises InputRefused."""
    tags: dict[str, None] = {}
    for first, last in TagRanges.read(text.upper()).runs:
        tags.update(dict.fromkeys(_counted_on(first, last)))
        if len(tags) > MOST_TAGS:
            raise InputRefused(f"{text} names more than {MOST_TAGS} tags; print them in several files.")
    return tuple(tags)


def _counted_on(first: str, last: str) -> list[str]:
    if first == last:
        return [first]
    start, end = _NUMBERED.fullmatch(first), _NUMBERED.fullmatch(last)
    if start is None or end is None or start[1] != end[1]:
        raise InputRefused(f"{first}..{last} cannot be counted on; give tags that differ in their last figure alone.")
    low, high, digits = int(start[2]), int(end[2]), len(start[2])
    # One more than may be is enough to be refused.
    return [f"{start[1]}{number:0{digits}}" for number in range(low, min(high, low + MOST_TAGS) + 1)]


def _counted(tag: str) -> str:
    # What follows the tabulator tells HR-7 from HR-007; here both are meant.
    return tag_order(tag).partition("\t")[0]
