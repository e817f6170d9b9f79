"""Closures out of the events of a calendar (iCalendar, RFC 5545), those that come back by a rule among them."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any, Final

from msgspec import Struct

from appreg.core.values.text import shown
from appreg.errors import InputRefused
from appreg.schedule.closure_file import MOST_LINES
from appreg.schedule.visiting_days import Closure, visiting_days

_WHAT_PARSING_RAISES: Final = (ValueError, LookupError, ArithmeticError, AttributeError, TypeError, RecursionError)
"""What the library was seen to raise over calendars that are none."""
_LONGEST_REASON: Final = 100
_LAST_YEAR: Final = 2100
"""What comes back by a rule is read up to the end of this one."""
_DAY: Final = timedelta(days=1)
_LONGEST: Final = timedelta(days=366)
"""A longer event is no holiday."""


class _Event(Struct, frozen=True, kw_only=True):
    """What an event says of days."""

    said: Any
    """The event as the library has it."""
    what: str
    """How a refusal names it."""
    uid: str
    start: date
    """A moment where the event has one."""
    closure: Closure
    """Its first time, or its only one."""


def closures_of_calendar(content: str, name: str) -> tuple[Closure, ...]:
    """The days on which something is; raises InputRefused naming the file, and the event that cannot be understood."""
    from icalendar import Calendar  # noqa: PLC0415 - costs more than a command without calendars should pay

    try:
        calendar = Calendar.from_ical(content)
    except _WHAT_PARSING_RAISES as problem:
        said = next(iter(str(problem).splitlines()), "")[:_LONGEST_REASON]
        raise InputRefused(f"{name} is not a calendar that can be read ({said}); export it anew.") from problem
    events = [_event(each, name) for each in calendar.walk("VEVENT")]
    # RFC 5545, 3.8.4.4: an event that names a time of another with its key stands in place of that time.
    moved = {(each.uid, _day_of(each, "RECURRENCE-ID")) for each in events if "RECURRENCE-ID" in each.said}
    closures: list[Closure] = []
    for event in events:
        if str(event.said.get("STATUS", "")).upper() == "CANCELLED":
            continue
        if "RECURRENCE-ID" in event.said:
            closures.append(event.closure)
        else:
            closures += [each for each in _times(event) if (event.uid, each.first) not in moved]
        if len(closures) > MOST_LINES:
            raise InputRefused(f"{name} has more than {MOST_LINES} days; leave out the years that are past.")
    return tuple(closures)


def _event(said: Any, name: str) -> _Event:
    reason = shown(str(said.get("SUMMARY", "")))[:_LONGEST_REASON]
    what = f"{name}: the event “{reason}”" if reason else f"{name}: an event"
    start = _moment(said, "DTSTART", what)
    if start is None:
        raise InputRefused(f"{what} has no day it starts on; mend that event or leave it out.")
    first = _as_day(start)
    if not reason:
        what += f" from {first} on"
    closure = Closure(first=first, last=_last_day(said, start, what), reason=reason)
    return _Event(said=said, what=what, uid=str(said.get("UID", "")), start=start, closure=closure)


def _last_day(said: Any, start: date, what: str) -> date:
    """RFC 5545, 3.6.1: the end is not part of the event, be it a day or a moment."""
    end, length = _moment(said, "DTEND", what), _length(said, what)
    try:
        if end is None and length is not None:
            end = start + length if isinstance(start, datetime) else start - (-length // _DAY) * _DAY
        if end is None:
            return _as_day(start)
        last = _as_day(end) if isinstance(end, datetime) and end.time() != time.min else _as_day(end) - _DAY
    except OverflowError as problem:
        if end is not None:  # a day before the first that there is
            return _as_day(start)
        raise InputRefused(f"{what} ends after the last year; leave it out.") from problem
    if last - _as_day(start) >= _LONGEST:
        raise InputRefused(f"{what} is longer than a year; leave it out.")
    return max(last, _as_day(start))


def _times(event: _Event) -> Iterator[Closure]:
    """Each time of an event, as its rule, and the days that were added and left out, have it."""
    days = {event.closure.first, *_by_rule(event), *_listed(event, "RDATE")} - set(_listed(event, "EXDATE"))
    length = event.closure.last - event.closure.first
    for day in sorted(days):
        if day.year <= max(_LAST_YEAR, event.closure.first.year):
            yield Closure(first=day, last=day + length, reason=event.closure.reason)


def _by_rule(event: _Event) -> tuple[date, ...]:
    rule = event.said.get("RRULE")
    if rule is None:
        return ()
    first = event.closure.first
    try:
        parts = {str(key).upper(): value for key, value in rule.items()}
        if "FREQ" not in parts:
            raise ValueError(rule)
        until = parts.pop("UNTIL", None)
        text = ";".join(part for part in rule.to_ical().decode().split(";") if not part.upper().startswith("UNTIL="))
        if until:
            text += f";UNTIL={_until(until[0], event.start):%Y%m%d}"
        return visiting_days(first, max(first, date(_LAST_YEAR, 12, 31)), rule=text, anchor=first)
    except (*_WHAT_PARSING_RAISES, InputRefused) as problem:
        raise InputRefused(
            f"{event.what} repeats in a way that is not understood; write its days out, or leave it out."
        ) from problem


def _until(until: Any, start: date) -> date:
    """The last day of a rule, where the event takes place: a moment is told in universal time."""
    if isinstance(until, datetime) and until.tzinfo and isinstance(start, datetime) and start.tzinfo:
        until = until.astimezone(start.tzinfo)
    return _as_day(until)


def _listed(event: _Event, key: str) -> list[date]:
    """The days that an event lists beside its rule."""
    said = event.said.get(key)
    try:
        lists = [] if said is None else said if isinstance(said, list) else [said]
        moments = [each.dt for listed in lists for each in listed.dts]
        return [_as_day(each[0] if isinstance(each, tuple) else each) for each in moments]
    except _WHAT_PARSING_RAISES as problem:
        raise InputRefused(f"{event.what} has an {key} that makes no sense; mend it or leave it out.") from problem


def _day_of(event: _Event, key: str) -> date:
    if "RANGE" in getattr(event.said.get(key), "params", {}):
        raise InputRefused(f"{event.what} moves all that come after it, which is not understood; write the days out.")
    moment = _moment(event.said, key, event.what)
    return event.closure.first if moment is None else _as_day(moment)


def _moment(said: Any, key: str, what: str) -> date | None:
    """What an event says there, a day or a moment; None where it says nothing."""
    value = said.get(key)
    try:
        moment = None if value is None else value.dt
    except (AttributeError, ValueError) as problem:
        raise InputRefused(f"{what} has a {key} that makes no sense; mend it or leave it out.") from problem
    if moment is not None and not isinstance(moment, date):
        raise InputRefused(f"{what} has a {key} that is no day; mend it or leave it out.")
    return moment


def _length(said: Any, what: str) -> timedelta | None:
    value = said.get("DURATION")
    try:
        length = None if value is None else value.dt
    except (AttributeError, ValueError) as problem:
        raise InputRefused(f"{what} has a DURATION that makes no sense; mend it or leave it out.") from problem
    return length if isinstance(length, timedelta) else None


def _as_day(moment: date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment
