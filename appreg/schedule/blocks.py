"""Inspections that an event asks for, not a date: until they are done the item must not be issued or used."""

from collections.abc import Sequence
from datetime import date
from typing import Final, NamedTuple

from msgspec import Struct

from appreg.core.records.work_records import IntervalKind, Movement
from appreg.core.rules.interval_tables import Interval, IntervalAnswer
from appreg.core.values.dates_in_words import date_words

BEFORE_ISSUE: Final = frozenset({"before issue", "before hire"})
AFTER_RETURN: Final = frozenset({"after return"})
ON_SITE: Final = frozenset({"before first use on site"})
BEFORE_TENANCY: Final = "before the next tenancy"
"""Asked for by a recorded change of tenancy, whatever the table says."""
AT_FIRST: Final = frozenset({"before initial use"})
EVENTS: Final = BEFORE_ISSUE | AFTER_RETURN | ON_SITE | AT_FIRST
"""The events of interval tables that block an item; others are for whoever checks it as a user."""


class Moment(NamedTuple):
    """The day given for something, and its place in the journal, which tells what was recorded first."""

    on: date
    place: str
    unseen: frozenset[str] = frozenset()
    """Earlier places that whoever recorded it, in another place, could not see."""

    def is_since(self, other: "Moment") -> bool:
        """It was recorded after the other by whoever could see it, and not for a day before it: no clock or date alone decides."""
        return self.place > other.place and other.place not in self.unseen and self.on >= other.on


_OUT_AND_BACK: Final = frozenset({Movement.ISSUED, Movement.RETURNED})
_ON_THE_WAY: Final = _OUT_AND_BACK | {Movement.BROUGHT}


class ItemEvents(Struct, frozen=True, kw_only=True):
    """What counts for blocks of one item: its passed inspections, and where it went."""

    looked: Sequence[Moment] = ()
    """Passed inspections of either kind."""
    tested: Sequence[Moment] = ()
    """Passed combined inspections and tests."""
    tested_here: bool = False
    """The test recorded last was made on a visit to the site where the item now is."""
    moved: Sequence[tuple[Movement, Moment]] = ()
    """Its movements, oldest first."""

    @property
    def is_out(self) -> bool:
        """It was issued and has not come back."""
        going = [movement for movement, _ in self.moved if movement in _OUT_AND_BACK]
        return bool(going) and going[-1] is Movement.ISSUED

    @property
    def is_brought_out(self) -> bool:
        """It was issued, was brought on a site since, and has not come back."""
        going = [movement for movement, _ in self.moved if movement in _ON_THE_WAY]
        return self.is_out and going[-1] is Movement.BROUGHT

    def last(self, movement: Movement) -> Moment | None:
        """The last movement of a kind."""
        return next((moment for each, moment in reversed(self.moved) if each is movement), None)


class Block(Struct, frozen=True, kw_only=True):
    """One inspection that must be done before the item may be issued or used."""

    kind: IntervalKind
    event: str
    """In the table's words, say 'before issue'."""
    because: str
    """What is missing, in words."""


def blocking_events(answer: IntervalAnswer) -> bool:
    """Tell whether a table's answer names an event that blocks an item."""
    return any(interval and EVENTS.intersection(interval.when) for interval in (answer.visual, answer.test))


def blocks(answer: IntervalAnswer, events: ItemEvents) -> tuple[Block, ...]:
    """What must be done before an item may be issued or used, the test first.

    While it is out on issue nothing but what its first use on a site asks for, once it was brought there.
    """
    if events.is_out and not events.is_brought_out:
        return ()
    found = []
    for kind, interval in ((IntervalKind.TEST, answer.test), (IntervalKind.VISUAL, answer.visual)):
        for event in _events_of(interval):
            if events.is_out and event not in ON_SITE:
                continue
            because = _missing(kind, event, events)
            if because:
                found.append(Block(kind=kind, event=event, because=because))
    return tuple(found) if events.is_out else (*found, *_before_tenancy(answer, events))


def _before_tenancy(answer: IntervalAnswer, events: ItemEvents) -> tuple[Block, ...]:
    """A change of tenancy asks for a test before the next one; for a look where the table wants no test."""
    changed = events.last(Movement.TENANCY)
    if changed is None:
        return ()
    kind = IntervalKind.VISUAL if answer.test is None else IntervalKind.TEST
    passed = events.looked if kind is IntervalKind.VISUAL else events.tested
    because = _none_since(_WORDS[kind], passed, changed, "the change of tenancy")
    return (Block(kind=kind, event=BEFORE_TENANCY, because=because),) if because else ()


_WORDS: Final = {IntervalKind.TEST: "inspection and test", IntervalKind.VISUAL: "inspection"}


def _events_of(interval: Interval | None) -> tuple[str, ...]:
    return tuple(event for event in interval.when if event in EVENTS) if interval else ()


def _missing(kind: IntervalKind, event: str, events: ItemEvents) -> str:
    """What is missing for an event, in words; empty where nothing is."""
    words = _WORDS[kind]
    passed = events.tested if kind is IntervalKind.TEST else events.looked
    returned = events.last(Movement.RETURNED)
    if event in AFTER_RETURN:
        return _none_since(words, passed, returned, "it came back") if returned else ""
    if not passed:
        return f"no {words} has passed"
    if event in BEFORE_ISSUE:
        return _none_since(words, passed, returned, "it came back")
    if event in ON_SITE:
        if not events.tested_here:
            return f"no {words} has passed at this site"
        return _none_since(words, passed, events.last(Movement.BROUGHT), "it was brought on site")
    return ""


def _none_since(words: str, passed: Sequence[Moment], since: Moment | None, what: str) -> str:
    if since is None or any(each.is_since(since) for each in passed):
        return ""
    return f"no {words} has passed since {what} on {date_words(since.on)}"
