"""How far a printer lays its pages beside where they belong, and what is moved for it: `office: 0.6 right 1.2 up`."""

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from appreg.core.values.text import clean, shown
from appreg.core.values.toml_places import shortened
from appreg.errors import InputRefused

FARTHEST_MM: Final = 10.0
"""A page that lies farther off was fitted to the paper, or is of another size."""
LONGEST_OFFSETS: Final = 1000
_LONGEST_NAME: Final = 80
_WAYS: Final = {"right": (1, 0), "left": (-1, 0), "down": (0, 1), "up": (0, -1)}
_MOVE: Final = r"([0-9]{1,2}(?:[.,][0-9]{1,2})?)\s*(?:mm\s*)?(right|left|up|down)"
_MOVES: Final = re.compile(rf"{_MOVE}(?:[\s,]+{_MOVE})?")
_AS_WRITTEN: Final = "write it like office: 0.6 right 1.2 up, and ; before the next printer"


class Offset(Struct, frozen=True):
    """How far everything on a page is moved, mm."""

    right: float = 0.0
    down: float = 0.0

    @property
    def words(self) -> str:
        """As it is written in the settings; empty: nothing is moved."""
        across = f"{abs(self.right):g} {'right' if self.right > 0 else 'left'}" if self.right else ""
        along = f"{abs(self.down):g} {'down' if self.down > 0 else 'up'}" if self.down else ""
        return " ".join(part for part in (across, along) if part)


UNMOVED: Final = Offset()


def read_offsets(text: str) -> Mapping[str, Offset]:
    """Read what is moved for each printer, by its name; raises InputRefused."""
    offsets: dict[str, Offset] = {}
    for part in filter(None, (each.strip() for each in text.split(";"))):
        name, colon, moves = part.rpartition(":")
        name = clean(name, field="printer", longest=_LONGEST_NAME)
        if not colon or not name:
            raise InputRefused(f"{shown(shortened(part))} names no printer and a move; {_AS_WRITTEN}.")
        if name in offsets:
            raise InputRefused(f"{shown(name)} stands there twice; write it once.")
        offsets[name] = _offset(name, moves.strip())
    return MappingProxyType(offsets)


def offset_kept(text: str, printer: str) -> Offset:
    """What is moved for a printer that labels go to: nothing where nothing is kept for it."""
    return read_offsets(text).get(printer, UNMOVED)


def offset_for(text: str, printer: str) -> Offset:
    """What is moved for one printer, nothing where none is named; raises InputRefused for one that is not there."""
    if not printer:
        return UNMOVED
    offsets = read_offsets(text)
    if printer not in offsets:
        there = f"there are {', '.join(offsets)}" if offsets else "there is none yet"
        raise InputRefused(
            f"No offset is kept for the printer {shown(shortened(printer))}; {there}. "
            f"Print a calibration page, then set printer_offsets."
        )
    return offsets[printer]


def _offset(name: str, moves: str) -> Offset:
    found = _MOVES.fullmatch(moves.casefold())
    if found is None:
        raise InputRefused(f"{shown(shortened(moves))} says not how {shown(name)} is moved; {_AS_WRITTEN}.")
    right = down = 0.0
    ways = [(found[1], found[2]), (found[3], found[4])]
    for much, way in ((much, way) for much, way in ways if much):
        across, along = _WAYS[way]
        distance = float(much.replace(",", "."))
        if (across and right) or (along and down):
            raise InputRefused(f"{shown(name)} is moved the same way twice; {_AS_WRITTEN}.")
        right, down = right + across * distance, down + along * distance
    if max(abs(right), abs(down)) > FARTHEST_MM:
        raise InputRefused(
            f"{shown(name)} is moved by more than {FARTHEST_MM:.0f} mm; print at full size, on the paper of the stock."
        )
    return Offset(right, down)
