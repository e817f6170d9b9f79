"""In which line of a table something was named first: some twenty bytes each, where a dictionary of texts takes two hundred."""

from array import array
from collections.abc import Hashable
from typing import Final

_FIRST_PLACES: Final = 1 << 10
_FREE: Final = 5
"""One of so many places is free at least, so that one is never far."""


class LinesSeen:
    """Remembers marks of what was named, not the texts: two that share a mark are taken for one, once in a thousand million tables."""

    def __init__(self) -> None:
        self._places = _FIRST_PLACES
        self._taken = 0
        self._marks = array("q", [0]) * _FIRST_PLACES
        self._lines = array("i", [0]) * _FIRST_PLACES

    def __contains__(self, named: Hashable) -> bool:
        """Tell whether it was named before."""
        return self._lines[self._place(hash(named))] != 0

    def first(self, named: Hashable, line: int) -> int:
        """The line in which it was named first: this one, from 1 on, where it was not named before."""
        mark, marks, lines = hash(named), self._marks, self._lines
        last = self._places - 1
        place = mark & last
        while found := lines[place]:
            if marks[place] == mark:
                return found
            place = place + 1 & last
        marks[place], lines[place] = mark, line
        self._taken += 1
        if self._taken > self._places - self._places // _FREE:
            self._widen()
        return line

    def _place(self, mark: int) -> int:
        """Where it stands, or the free place where it would."""
        last = self._places - 1
        place = mark & last
        while self._lines[place] and self._marks[place] != mark:
            place = place + 1 & last
        return place

    def _widen(self) -> None:
        before = zip(self._marks, self._lines, strict=True)
        self._places *= 2
        self._marks = marks = array("q", [0]) * self._places
        self._lines = lines = array("i", [0]) * self._places
        last = self._places - 1
        for mark, line in before:
            if line:
                place = mark & last
                while lines[place]:
                    place = place + 1 & last
                marks[place], lines[place] = mark, line
