"""A file of closures is read to its end, problems are told by line, and nothing is guessed."""

from datetime import date

import pytest

from appreg.schedule.closure_file import read_closures
from appreg.schedule.visiting_days import Closure

TEXT = """\ufeff# holidays
2026-12-25                 Christmas Day
2026-12-28..2027-01-02     works closed  # until Monday

2027-03-26
"""


def test_days_and_ranges_are_read_with_what_they_are() -> None:
    read = read_closures(TEXT)
    assert read.problems == ()
    assert read.closures == (
        Closure(first=date(2026, 12, 25), last=date(2026, 12, 25), reason="Christmas Day"),
        Closure(first=date(2026, 12, 28), last=date(2027, 1, 2), reason="works closed"),
        Closure(first=date(2027, 3, 26), last=date(2027, 3, 26)),
    )


def test_what_is_written_is_read_back_the_same() -> None:
    closures = read_closures(TEXT).closures
    lines = [f"{shut.first}..{shut.last}  {shut.reason}\n" for shut in closures]
    assert read_closures("".join(lines)).closures == closures


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("25/12/2026 Christmas", "is no day; write it as 2026-12-25"),
        ("2026-02-30", "is no day"),
        ("2026-12-31..2026-12-25 closed", "exchange the days"),
        ("2026-12-31..3026-01-02 closed", "check the years"),
        ("2026-12-25 \x1b[31mred", "escape character"),
        ("..2026-12-25", "is no day"),
        ("Christmas", "is no day"),
    ],
)
def test_a_line_that_cannot_be_used_is_told_and_the_others_are_read(line: str, problem: str) -> None:
    read = read_closures(f"2026-12-24\n{line}\n2026-12-26\n")
    assert [closure.first.day for closure in read.closures] == [24, 26]
    assert [each.line for each in read.problems] == [2]
    assert problem in read.problems[0].problem
