"""Closures and holidays as a text file: one day or range a line, then what it is.

# comment
2026-12-25                 Christmas Day
2026-12-28..2027-01-02     works closed
"""

import re
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import clean
from appreg.errors import InputRefused
from appreg.schedule.visiting_days import Closure

_LINE: Final = re.compile(r"(?P<first>\S+?)(?:\.\.(?P<last>\S+))?(?:\s+(?P<reason>.*))?")
LONGEST_CLOSURE_DAYS: Final = 3700
"""Ten years: a longer closure is a mistyped year."""
MOST_LINES: Final = 20_000


class ClosureProblem(Struct, frozen=True, kw_only=True):
    """A line that cannot be used."""

    line: int
    problem: str
    """What is wrong and what to do, without the line number."""


class ReadClosures(Struct, frozen=True, kw_only=True):
    """Everything a file of closures says, and every line that cannot be used."""

    closures: tuple[Closure, ...]
    problems: tuple[ClosureProblem, ...]


def read_closures(text: str) -> ReadClosures:
    """Read a file of closures to its end; problems are gathered, not raised."""
    closures: list[Closure] = []
    problems: list[ClosureProblem] = []
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), 1):
        if number > MOST_LINES:
            said = f"a list of more than {MOST_LINES} lines has too many; leave out the years that are past."
            problems.insert(0, ClosureProblem(line=number, problem=said))
            break
        content = line.split("#", 1)[0].strip()
        if not content:
            continue
        try:
            closures.append(_closure(content))
        except InputRefused as problem:
            problems.append(ClosureProblem(line=number, problem=str(problem)))
    return ReadClosures(closures=tuple(closures), problems=tuple(problems))


def _closure(content: str) -> Closure:
    found = _LINE.fullmatch(content)
    if found is None:
        raise InputRefused("begin the line with a day such as 2026-12-25, or a range 2026-12-28..2027-01-02.")
    first = _day(found["first"])
    last = _day(found["last"]) if found["last"] else first
    return closure_between(first, last, reason=clean(found["reason"] or "", field="what it is"))


def closure_between(first: date, last: date, *, reason: str = "") -> Closure:
    """A closure with both its ends; raises InputRefused where it ends before it begins, or lasts for ever."""
    if last < first:
        raise InputRefused(
            f"the range ends on {date_words(last)}, before it begins on {date_words(first)}; exchange the days."
        )
    if (last - first).days > LONGEST_CLOSURE_DAYS:
        raise InputRefused(
            f"a closure from {date_words(first)} to {date_words(last)} is longer than ten years; check the years."
        )
    return Closure(first=first, last=last, reason=reason)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as problem:
        raise InputRefused(f"“{text[:20]}” is no day; write it as 2026-12-25.") from problem
