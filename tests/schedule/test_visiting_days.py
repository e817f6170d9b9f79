"""Days of visits follow their rule, leave closures out, and always come to an end."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.errors import InputRefused
from appreg.schedule.visiting_days import Closure, visiting_days

START, END = date(2026, 11, 24), date(2027, 11, 23)


def test_without_a_rule_a_site_is_visited_from_monday_to_friday() -> None:
    days = visiting_days(START, END)
    assert {day.weekday() for day in days} == {0, 1, 2, 3, 4}
    assert days[0] == START
    assert len(days) == 261


def test_tuesdays_and_thursdays_are_just_those() -> None:
    days = visiting_days(START, END, rule="FREQ=WEEKLY;BYDAY=TU,TH")
    assert {day.weekday() for day in days} == {1, 3}
    assert len(days) == 105


def test_closures_are_left_out_with_both_their_ends() -> None:
    shut = Closure(first=date(2026, 12, 22), last=date(2027, 1, 5), reason="works closed")
    days = visiting_days(START, END, closures=[shut])
    assert not any(shut.first <= day <= shut.last for day in days)
    assert date(2026, 12, 21) in days
    assert date(2027, 1, 6) in days
    assert days == visiting_days(START, END, closures=[shut, shut])


def test_every_second_week_counts_from_its_anchor() -> None:
    rule = "FREQ=WEEKLY;INTERVAL=2;BYDAY=WE"
    one = visiting_days(START, END, rule=rule, anchor=date(2026, 11, 4))
    other = visiting_days(START, END, rule=rule, anchor=date(2026, 11, 11))
    assert not set(one) & set(other)
    assert set(one) | set(other) == set(visiting_days(START, END, rule="FREQ=WEEKLY;BYDAY=WE"))


@pytest.mark.parametrize(
    ("rule", "count"),
    [
        ("rrule:freq=monthly;byday=1we", 12),
        ("FREQ=DAILY;INTERVAL=10", 37),
        ("FREQ=DAILY;COUNT=5", 5),
        ("FREQ=WEEKLY;BYDAY=MO;UNTIL=20270104", 6),
        ("FREQ=WEEKLY;BYDAY=MO;UNTIL=20270104T120000Z", 6),
        ("FREQ=MONTHLY;BYMONTHDAY=31", 7),
        ("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", 0),
        ("FREQ=DAILY;BYMONTH=2;BYMONTHDAY=31", 0),
        ("FREQ=DAILY;BYMONTH=12", 31),
    ],
)
def test_rules_are_read_in_any_case_and_end_with_the_plan(rule: str, count: int) -> None:
    days = visiting_days(START, END, rule=rule)
    assert len(days) == count
    assert all(START <= day <= END for day in days)


@pytest.mark.parametrize(
    "rule",
    [
        "Tuesdays", "FREQ=SECONDLY", "FREQ=HOURLY", "FREQ=DAILY;BYHOUR=9", "FREQ=WEEKLY;BYDAY=XX", "FREQ=WEEKLY;BYMONTHDAY=3",
        "FREQ=DAILY;INTERVAL=0", "FREQ=DAILY;INTERVAL=-1", "FREQ=DAILY;COUNT=0", "FREQ=DAILY;BYMONTH=13", "FREQ=DAILY;FREQ=WEEKLY",
        "FREQ=DAILY;UNTIL=tomorrow", "FREQ=DAILY\nEXRULE:FREQ=DAILY", "FREQ=DAILY;" + "BYMONTH=1,1,1,1," * 60, "FREQ=WEEKLY;BYDAY=", ";;;",
    ],
)  # fmt: skip
def test_what_is_no_rule_of_whole_days_is_refused_with_an_example(rule: str) -> None:
    with pytest.raises(InputRefused, match="BYDAY=TU,TH"):
        visiting_days(START, END, rule=rule)


@given(
    st.sampled_from(["", "FREQ=WEEKLY;BYDAY=SA,SU", "FREQ=MONTHLY;BYDAY=-1FR", "FREQ=DAILY;INTERVAL=3"]),
    st.lists(st.tuples(st.dates(START, END), st.integers(0, 60)), max_size=4),
)
def test_days_ascend_and_none_is_closed(rule: str, shut: list[tuple[date, int]]) -> None:
    closures = [Closure(first=first, last=first + timedelta(days=length)) for first, length in shut]
    days = visiting_days(START, END, rule=rule, closures=closures)
    assert list(days) == sorted(set(days))
    assert not any(each.first <= day <= each.last for day in days for each in closures)
    open_days = visiting_days(START, END, rule=rule)
    assert set(open_days) - set(days) == {d for d in open_days if any(c.first <= d <= c.last for c in closures)}
