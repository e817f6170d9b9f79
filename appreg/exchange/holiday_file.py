"""Closures and holidays out of a file: a text of days, or a calendar (iCalendar, RFC 5545)."""

from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from appreg.core.text import shown
from appreg.errors import InputRefused
from appreg.exchange.file_problems import FileProblem, refuse_problems
from appreg.schedule.closure_file import read_closures
from appreg.schedule.visiting_days import Closure

_LONGEST: Final = timedelta(days=366)
"""A longer event is no holiday."""


def read_holidays(path: Path) -> tuple[Closure, ...]:
    """Read the days; raises InputRefused naming file and line where one cannot be read.

    A text has a day or a range a line (2026-12-25, or 2026-12-28..2027-01-02), anything after it being its
    name, and # before remarks; a file that ends in .ics has whole-day events.
    """
    try:
        content = path.read_bytes()
    except OSError as problem:
        raise InputRefused(f"{path} cannot be read ({problem.strerror or problem}); check the path.") from problem
    if path.suffix.lower() == ".ics":
        return _from_calendar(content, path.name)
    try:
        return _from_text(content.decode("utf-8-sig"), path.name)
    except UnicodeDecodeError as problem:
        raise InputRefused(f"{path.name} is not UTF-8 text; save it as UTF-8.") from problem


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


def _from_calendar(content: bytes, name: str) -> tuple[Closure, ...]:
    from icalendar import Calendar  # noqa: PLC0415 - costs more than a command without calendars should pay

    try:
        calendar = Calendar.from_ical(content)
    except (ValueError, KeyError, IndexError) as problem:
        raise InputRefused(f"{name} is not a calendar that can be read: {problem}; export it anew.") from problem
    return tuple(_closure(event, name) for event in calendar.walk("VEVENT"))


def _closure(event: Any, name: str) -> Closure:
    start = event.decoded("DTSTART", None)
    end = event.decoded("DTEND", None)
    if not isinstance(start, date):
        raise InputRefused(f"{name}: an event has no day it starts on; mend that event or leave it out.")
    first = _day(start)
    # RFC 5545, 3.6.1: the end of a whole-day event is the day after it.
    last = max(first, _day(end) - timedelta(days=1)) if isinstance(end, date) else first
    if last - first > _LONGEST:
        raise InputRefused(f"{name}: an event from {first} to {last} is longer than a year; leave it out.")
    return Closure(first=first, last=last, reason=shown(str(event.get("SUMMARY", ""))))


def _day(moment: date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment
