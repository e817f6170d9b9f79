"""Closures and holidays out of a file: a text of days, or a calendar (iCalendar, RFC 5545)."""

from pathlib import Path
from typing import Final

from appreg.exchange.file_problems import FileProblem, refuse_problems
from appreg.given_files import read_text
from appreg.schedule.closure_file import read_closures
from appreg.schedule.visiting_days import Closure

_MOST_BYTES: Final = 1_000_000
_MOST_BYTES_OF_CALENDAR: Final = 500_000


def read_holidays(path: Path) -> tuple[Closure, ...]:
    """Read the days; raises InputRefused naming file and line where one cannot be read.

    A text has a day or a range a line (2026-12-25, or 2026-12-28..2027-01-02), anything after it being its
    name, and # before remarks; a file that ends in .ics has events, which may come back by a rule.
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
    from appreg.exchange.closure_events import closures_of_calendar  # noqa: PLC0415 - few commands read calendars

    return closures_of_calendar(content, name)
