"""Recurrence rules against the examples printed in RFC 5545, section 3.8.5.3 (published)."""

from datetime import date

import pytest

from appreg.schedule.visiting_days import visiting_days

# Each example of the RFC begins on the day given as DTSTART and prints the days that follow.
PRINTED = [
    (
        "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH",
        date(1997, 9, 2),
        [(9, 2), (9, 4), (9, 9), (9, 11), (9, 16), (9, 18), (9, 23), (9, 25), (9, 30), (10, 2)],
    ),
    (
        "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
        date(1997, 9, 2),
        [(9, 2), (9, 4), (9, 16), (9, 18), (9, 30), (10, 2), (10, 14), (10, 16)],
    ),
    ("FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3", date(1997, 9, 4), [(9, 4), (10, 7), (11, 6)]),
    ("FREQ=MONTHLY;COUNT=4;BYMONTHDAY=-3", date(1997, 9, 28), [(9, 28), (10, 29), (11, 28), (12, 29)]),
    ("FREQ=DAILY;INTERVAL=10;COUNT=5", date(1997, 9, 2), [(9, 2), (9, 12), (9, 22), (10, 2), (10, 12)]),
    ("FREQ=MONTHLY;COUNT=4;BYDAY=1FR", date(1997, 9, 5), [(9, 5), (10, 3), (11, 7), (12, 5)]),
]


@pytest.mark.parametrize(("rule", "start", "printed"), PRINTED)
def test_a_rule_gives_the_days_that_the_rfc_prints(rule: str, start: date, printed: list[tuple[int, int]]) -> None:
    days = visiting_days(start, date(1997, 12, 31), rule=rule)
    assert [(day.month, day.day) for day in days] == printed
