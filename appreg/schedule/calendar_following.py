"""Which events of a calendar the visits of a plan are: those written before keep their keys, what is gone is cancelled."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.records.planning_records import CalendarEntry, CalendarKind
from appreg.core.values.uids import Uid

_FARTHEST: Final = 183
"""Days by which a visit is moved; farther away it is another visit."""


class WantedEntry(Struct, frozen=True, kw_only=True):
    """What a calendar is to say of a site."""

    site: Uid
    kind: CalendarKind
    day: date
    content: str
    """A hash over what it says."""
    event: str = ""
    """Its key where that is settled; empty: found among those written before."""


class FollowedEntry(Struct, frozen=True, kw_only=True):
    """An entry as it goes out, with what is remembered of it."""

    wanted: WantedEntry | None
    """None: it is gone, and goes out as cancelled."""
    before: CalendarEntry | None
    """None: it was never written."""
    event: str
    sequence: int

    @property
    def changes(self) -> bool:
        """What is remembered is another than what goes out now."""
        return self.before is None or self.before.sequence != self.sequence


class Known(Struct, frozen=True, kw_only=True):
    """What is known of the sites of a calendar before it is written anew."""

    entries: Sequence[CalendarEntry]
    done: Mapping[Uid, Collection[date]]
    """By site: the days on which work was done, whose events tell what was."""
    today: date
    start: date
    """The first day of the plan; what stands between today and that day belongs to another plan."""

    def open(self, entry: CalendarEntry) -> bool:
        """Tell whether the plan decides what becomes of an entry."""
        if entry.cancelled:
            return False
        if entry.kind is CalendarKind.TASK:
            return True
        if entry.day in self.done.get(entry.site, ()):
            return False
        return entry.day >= self.start or entry.day < self.today


def follow(wanted: Sequence[WantedEntry], known: Known) -> tuple[FollowedEntry, ...]:
    """What goes out: each entry wanted, in its order, under its key, then those that are gone as cancelled."""
    settled = _settled(wanted, known)
    taken = {entry.event for entry in known.entries} | {each.event for each in wanted}
    gone = [entry for entry in known.entries if known.open(entry) and entry.event not in _events_of(settled, wanted)]
    out = []
    for place, each in enumerate(wanted):
        before = settled.get(place)
        event = each.event or (before.event if before else _free_key(each, known, taken))
        taken.add(event)
        out.append(FollowedEntry(wanted=each, before=before, event=event, sequence=_sequence(each, before)))
    out += [FollowedEntry(wanted=None, before=entry, event=entry.event, sequence=entry.sequence + 1) for entry in gone]
    return tuple(out)


def _events_of(settled: Mapping[int, CalendarEntry], wanted: Iterable[WantedEntry]) -> set[str]:
    return {entry.event for entry in settled.values()} | {each.event for each in wanted if each.event}


def _sequence(wanted: WantedEntry, before: CalendarEntry | None) -> int:
    """RFC 5545, 3.8.7.4: each revision has a higher number than the one before."""
    if before is None:
        return 0
    same = (before.content, before.day, before.cancelled) == (wanted.content, wanted.day, False)
    return before.sequence if same else before.sequence + 1


def _settled(wanted: Sequence[WantedEntry], known: Known) -> dict[int, CalendarEntry]:
    """By place: the entry written before that it is. First by key, then by day, then whichever is nearest."""
    by_event = {entry.event: entry for entry in known.entries}
    found = {place: by_event[each.event] for place, each in enumerate(wanted) if each.event in by_event}
    kept = {each.event for each in wanted if each.event}
    free = {entry.event: entry for entry in known.entries if not entry.cancelled and entry.event not in kept}
    pairs = sorted(
        (abs((entry.day - each.day).days), place, entry.event)
        for place, each in enumerate(wanted)
        if not each.event
        for entry in free.values()
        if entry.site == each.site and entry.kind is each.kind
    )
    for days, place, event in pairs:
        # What stands as it was done, or for another plan, is the same only where it is of that very day.
        if place not in found and event in free and days <= (_FARTHEST if known.open(free[event]) else 0):
            found[place] = free.pop(event)
    return found


DOMAIN: Final = "appreg.invalid"
"""RFC 2606: a name that nobody can own."""


def _free_key(wanted: WantedEntry, known: Known, taken: Collection[str]) -> str:
    """Named by site, year and the next number there; days on which work was done before the plan have theirs."""
    year = wanted.day.year
    number = 1 + sum(day.year == year and day < known.start for day in known.done.get(wanted.site, ()))
    while (key := f"visit-{wanted.site.lower()}-{year}-{number}@{DOMAIN}") in taken:
        number += 1
    return key
