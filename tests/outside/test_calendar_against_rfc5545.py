"""The calendar file byte by byte against RFC 5545 (published), and against icalendar's own parser.

Sections: 3.1 content lines end with CRLF and are folded at 75 octets; 3.3.4 dates are YYYYMMDD and carry
VALUE=DATE; 3.3.11 commas, semicolons, backslashes and line breaks of a text are escaped; 3.6.1 and 3.6.2
ask for UID and DTSTAMP; 3.8.2.2 the end is not part of the event; 3.8.2.3 DUE and DURATION exclude each other.
"""

from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar

from appreg.exchange.calendar_file import CalendarTask, CalendarVisit, calendar_bytes
from tests.hostile_names import HOSTILE_NAMES

WRITTEN = datetime(2026, 11, 24, 10, 30, tzinfo=UTC)


def visit(title: str = "Inspect Harbour Row", details: str = "HR-001 Kettle", place: str = "14 Quay") -> CalendarVisit:
    return CalendarVisit(uid="v1@appreg.invalid", day=date(2027, 2, 28), title=title, details=details, place=place)


def task(title: str = "Overdue: HR-002") -> CalendarTask:
    return CalendarTask(uid="t1@appreg.invalid", due=date(2026, 2, 28), title=title, details="", place="")


def written(*entries: CalendarVisit | CalendarTask, when: datetime = WRITTEN) -> bytes:
    visits = [each for each in entries if isinstance(each, CalendarVisit)]
    tasks = [each for each in entries if isinstance(each, CalendarTask)]
    return calendar_bytes(visits, tasks, name="Inspections", written=when)


def unfolded(content: bytes) -> list[bytes]:
    return content.replace(b"\r\n ", b"").split(b"\r\n")


def test_the_small_calendar_is_these_lines_and_no_others() -> None:
    assert sorted(unfolded(written(visit(), task()))) == sorted(
        [
            b"BEGIN:VCALENDAR",
            b"PRODID:-//appreg//visits and retests//EN",
            b"VERSION:2.0",
            b"NAME:Inspections",
            b"REFRESH-INTERVAL;VALUE=DURATION:P1D",
            b"BEGIN:VEVENT",
            b"UID:v1@appreg.invalid",
            b"DTSTAMP:20261124T103000Z",
            b"LAST-MODIFIED:20261124T103000Z",
            b"SEQUENCE:0",
            b"DTSTART;VALUE=DATE:20270228",
            b"DTEND;VALUE=DATE:20270301",
            b"SUMMARY:Inspect Harbour Row",
            b"DESCRIPTION:HR-001 Kettle",
            b"LOCATION:14 Quay",
            b"TRANSP:TRANSPARENT",
            b"END:VEVENT",
            b"BEGIN:VTODO",
            b"UID:t1@appreg.invalid",
            b"DTSTAMP:20261124T103000Z",
            b"LAST-MODIFIED:20261124T103000Z",
            b"SEQUENCE:0",
            b"DUE;VALUE=DATE:20260228",
            b"SUMMARY:Overdue: HR-002",
            b"STATUS:NEEDS-ACTION",
            b"PRIORITY:1",
            b"END:VTODO",
            b"END:VCALENDAR",
            b"",
        ]
    )


def test_the_stamp_is_told_by_the_caller_in_universal_time() -> None:
    when = datetime(2026, 11, 24, 12, 30, 0, 999, tzinfo=timezone(timedelta(hours=2)))
    assert written(visit(), when=when) == written(visit())


def assert_lines_keep_to_the_form(content: bytes) -> None:
    assert content.endswith(b"END:VCALENDAR\r\n")
    lines = content.split(b"\r\n")
    assert all(len(line) <= 75 for line in lines)
    # CR and LF stand only together, at the end of a line.
    assert not any(b"\r" in line or b"\n" in line for line in lines)
    for line in lines:
        line.decode("utf-8")  # no character is cut in two by folding


def test_a_line_longer_than_75_octets_is_folded_and_a_short_one_is_not() -> None:
    head = len("SUMMARY:")
    short, long = written(visit("x" * (70 - head))), written(visit("x" * (76 - head)))
    assert b"SUMMARY:" + b"x" * (70 - head) + b"\r\n" in short
    assert b"SUMMARY:" + b"x" * (76 - head) not in long
    assert b"SUMMARY:" + b"x" * (76 - head) in long.replace(b"\r\n ", b"")
    for content in (short, long):
        assert_lines_keep_to_the_form(content)


def test_wide_characters_fold_by_octets_and_never_inside_one() -> None:
    content = written(visit("Ω" * 300), task("€" * 77))
    assert_lines_keep_to_the_form(content)
    assert "Ω" * 300 in content.replace(b"\r\n ", b"").decode()


def test_texts_are_escaped_as_the_rfc_says() -> None:
    content = written(visit('a,b;c\\d"e', details="one\ntwo"))
    assert b'SUMMARY:a\\,b\\;c\\\\d"e\r\n' in content
    assert b"DESCRIPTION:one\\ntwo\r\n" in content


def entries_of(content: bytes, kind: str) -> list[Any]:
    return list(Calendar.from_ical(content).walk(kind))


@settings(max_examples=60, deadline=None)
@given(title=st.text(max_size=120), place=st.text(max_size=60))
def test_whatever_a_name_holds_the_parser_finds_one_event_on_its_day(title: str, place: str) -> None:
    content = written(visit(title, place=place))
    assert_lines_keep_to_the_form(content)
    (event,) = entries_of(content, "VEVENT")
    assert event.decoded("DTSTART") == date(2027, 2, 28)
    assert event.decoded("DTEND") == date(2027, 3, 1)


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_hostile_names_add_no_line_and_no_entry(name: str) -> None:
    content = written(visit(name, details=name, place=name), task(name))
    assert_lines_keep_to_the_form(content)
    assert len(entries_of(content, "VEVENT")) == 1
    assert len(entries_of(content, "VTODO")) == 1
    assert sorted(line.split(b":")[0].split(b";")[0] for line in unfolded(content)) == sorted(
        line.split(b":")[0].split(b";")[0] for line in unfolded(written(visit("x", "x", "x"), task("x")))
    )


def test_a_task_has_a_due_day_and_no_duration() -> None:
    (todo,) = entries_of(written(task()), "VTODO")
    assert todo.decoded("DUE") == date(2026, 2, 28)
    assert "DURATION" not in todo
    assert "DTSTART" not in todo
