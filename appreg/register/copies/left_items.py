"""Items that were at a site and are there no more: until when they were, as far as this register knows."""

import json
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.values.uids import Uid
from appreg.register.history.journal import read_cells
from appreg.register.journal.sealed_lines import LEFT
from appreg.register.opening.register_file import Register

_MOVES: Final = (
    'SELECT uid, time, "before", "after" FROM journal WHERE entity = \'appliance\' AND "after" IS NOT NULL '
    'AND ("before" LIKE ? OR "after" LIKE ?) ORDER BY time, origin, sequence'
)
_ITEM: Final = "appliance"


class Leaving(Struct, frozen=True, kw_only=True):
    """When an item left."""

    until: str
    """The time of the line that says so: what is told of the item at the site is told by lines before it."""
    time: str
    """When it left, by the clock of whoever moved it."""
    noted: bool
    """The journal has a line already that tells of it without saying where it went."""

    @property
    def on(self) -> date:
        """The day."""
        return date.fromisoformat(self.time[:10])


def left_items(register: Register, site: Uid) -> dict[Uid, Leaving]:
    """By item, those that were moved away, and those that whoever had the site said have left it."""
    found = _told_to_have_left(register, site)
    here = {uid for (uid,) in register.rows("SELECT uid FROM appliance WHERE site = ?", (site,))}
    away: dict[Uid, str] = {}
    for uid, time, before, after in register.rows(_MOVES, (f"%{site}%", f"%{site}%")):
        was, became = ({} if cell is None else read_cells(_ITEM, uid, cell) for cell in (before, after))
        if became.get("site") == site:
            away.pop(Uid(uid), None)
        elif was.get("site") == site and "site" in became:
            away.setdefault(Uid(uid), time)  # two places may have moved it
    for item, time in away.items():
        if item not in here:
            known = found.get(item)
            found[item] = Leaving(until=time, time=time, noted=known is not None and known.time == time)
    return found


def left_on(register: Register, item: Uid, site: Uid) -> date | None:
    """The day on which an item left the site that it stands at here, as whoever had the site says; None: it did not."""
    leaving = _told_to_have_left(register, site, item).get(item)
    return None if leaving is None else leaving.on


def left_cell(site: Uid, leaving: Leaving) -> str:
    """As the line holds it."""
    return json.dumps({"site": site, "time": leaving.time}, sort_keys=True, separators=(",", ":"))


def is_left_from(cell: object, site: Uid) -> bool:
    """Tell whether such a line tells of the site."""
    return isinstance(cell, str) and read_cells(LEFT, site, cell).get("site") == site


def _told_to_have_left(register: Register, site: Uid, item: Uid | None = None) -> dict[Uid, Leaving]:
    """By lines of whoever had the site; a later line that says where an item is ends that."""
    found: dict[Uid, Leaving] = {}
    statement, parameters = 'SELECT uid, time, "after" FROM journal WHERE entity = ?', [LEFT]
    if item is not None:
        statement, parameters = f"{statement} AND uid = ?", [LEFT, item]
    for uid, time, cell in register.rows(f"{statement} ORDER BY time, origin, sequence", parameters):
        told = read_cells(LEFT, uid, cell)
        if told.get("site") == site and not _is_placed_since(register, uid, time):
            found[Uid(uid)] = Leaving(until=time, time=str(told.get("time")), noted=True)
    return found


def _is_placed_since(register: Register, item: str, time: str) -> bool:
    return any(
        "site" in read_cells(_ITEM, item, after)
        for (after,) in register.rows(
            'SELECT "after" FROM journal WHERE entity = \'appliance\' AND uid = ? AND time > ? AND "after" IS NOT NULL',
            (item, time),
        )
    )
