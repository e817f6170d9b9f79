"""Closures and holidays out of a file: a text of days, or a calendar (iCalendar, RFC 5545)."""

from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from appreg.core.values.text import shown
from appreg.errors import InputRefused
from appreg.exchange.file_problems import FileProblem, refuse_problems
from appreg.given_files import read_text
from appreg.schedule.closure_file import MOST_LINES, read_closures
from appreg.schedule.visiting_days import Closure

_MOST_BYTES: Final = 1_000_000
_MOST_BYTES_OF_CALENDAR: Final = 500_000
_WHAT_PARSING_RAISES: Final = (ValueError, LookupError, ArithmeticError, AttributeError, TypeError, RecursionError)
"""What the library was seen to raise over calendars that are none."""
_LONGEST_REASON: Final = 100
_LAST_YEAR: Final = 2100
"""Holidays that come back each year are read up to this one."""
_DAY: Final = timedelta(days=1)
_LONGEST: Final = timedelta(days=366)
"""A longer event is no holiday."""


def read_holidays(path: Path) -> tuple[Closure, ...]:
    """Read the days; raises InputRefused naming file and line where one cannot be read.

    A text has a day or a range a line (2026-12-25, or 2026-12-28..2027-01-02), anything after it being its
    name, and # before remarks; a file that ends in .ics has whole-day events.
    """
    if path.suffix.lower() == ".ics":
        return _from_calendar(
            read_text(path, what="a calendar of holidays", most_bytes=_MOST_BYTES_OF_CALENDAR), path.name
        )
    return _from_text(read_text(path, what="holidays", most_bytes=_MOST_BYTES), path.name)


def _from_text(text: str, name: str) -> tuple[Closure, ...]:
    read = read_closures(text)
    refuse_problems(
        tuple(
            FileProblem(file=name, line=each.line, column="", what=what, todo=todo.removesuffix("."))
            for each in read.problems
            for what, _, todo in [each.problem.partition("; ")]
        )
    )
    return read.closures


def _from_calendar(content: str, name: str) -> tuple[Closure, ...]:
    from icalendar import Calendar  # noqa: PLC0415 - costs more than a command without calendars should pay

    try:
        calendar = Calendar.from_ical(content)
    except _WHAT_PARSING_RAISES as problem:
        said = next(iter(str(problem).splitlines()), "")[:_LONGEST_REASON]
        raise InputRefused(f"{name} is not a calendar that can be read ({said}); export it anew.") from problem
    closures: list[Closure] = []
    for event in calendar.walk("VEVENT"):
        closures += _repeated(event, _closure(event, name), name)
        if len(closures) > MOST_LINES:
            raise InputRefused(f"{name} has more than {MOST_LINES} days; leave out the years that are past.")
    return tuple(closures)


def _closure(event: Any, name: str) -> Closure:
    first, end, length = (_moment(event, key, name) for key in ("DTSTART", "DTEND", "DURATION"))
    if not isinstance(first, date):
        raise InputRefused(f"{name}: an event has no day it starts on; mend that event or leave it out.")
    lasts = end - first if isinstance(end, date) else length if isinstance(length, timedelta) else _DAY
    if lasts > _LONGEST:
        raise InputRefused(f"{name}: an event from {first} on is longer than a year; leave it out.")
    if lasts <= _DAY:
        return Closure(first=first, last=first, reason=_reason(event))
    try:
        # RFC 5545, 3.6.1: the end of a whole-day event is the day after it.
        return Closure(first=first, last=first + lasts - _DAY, reason=_reason(event))
    except OverflowError as problem:
        raise InputRefused(f"{name}: an event from {first} on ends after the last year; leave it out.") from problem


def _repeated(event: Any, first: Closure, name: str) -> list[Closure]:
    """The event, or, where it comes back each year as holidays do, each of its years; no other rule is followed."""
    if not any(key in event for key in ("RRULE", "RDATE", "EXDATE")):
        return [first]
    rule = event.get("RRULE")
    parts = {str(key).upper(): value for key, value in rule.items()} if isinstance(rule, dict) else {}
    usual = {"FREQ": ["YEARLY"], "INTERVAL": [1], "BYMONTH": [first.first.month], "BYMONTHDAY": [first.first.day]}
    counts, ends = parts.pop("COUNT", [_LAST_YEAR]), parts.pop("UNTIL", [])
    if "RDATE" in event or "EXDATE" in event or "FREQ" not in parts or any(usual.get(k) != v for k, v in parts.items()):
        raise InputRefused(
            f"{name}: an event from {first.first} on repeats in a way that is not followed here; write its days out."
        )
    end = ends[0].date() if ends and isinstance(ends[0], datetime) else ends[0] if ends else date.max
    years = range(first.first.year, min(end.year, max(_LAST_YEAR, first.first.year)) + 1)
    found = [each for year in years if (each := _in_year(first, year)) is not None and each.first <= end]
    return found[: counts[0]]


def _in_year(closure: Closure, year: int) -> Closure | None:
    """The closure in another year; None where that has no such day."""
    try:
        first = closure.first.replace(year=year)
    except ValueError:
        return None
    return Closure(first=first, last=first + (closure.last - closure.first), reason=closure.reason)


def _moment(event: Any, key: str, name: str) -> object:
    """What an event says there, a moment as its day; None where it says nothing."""
    said = event.get(key)
    try:
        moment = None if said is None else said.dt
    except (AttributeError, ValueError) as problem:
        raise InputRefused(f"{name}: an event has a {key} that makes no sense; mend it or leave it out.") from problem
    return moment.date() if isinstance(moment, datetime) else moment


def _reason(event: Any) -> str:
    return shown(str(event.get("SUMMARY", "")))[:_LONGEST_REASON]
