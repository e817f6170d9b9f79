"""Holidays out of a text or a calendar."""

import time
from datetime import date, timedelta
from pathlib import Path

import pytest

from appreg.errors import InputRefused
from appreg.exchange.holiday_file import read_holidays
from appreg.schedule.visiting_days import visiting_days

FIRST = date(2026, 1, 1)

CHRISTMAS, NEW_YEAR = (date(2026, 12, 25), date(2026, 12, 26)), (date(2027, 1, 1), date(2027, 1, 1))

LONG_EVENT = (
    b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nDTSTART;VALUE=DATE:20260101\r\nDTEND;VALUE=DATE:20290101\r\n"
    b"END:VEVENT\r\nEND:VCALENDAR\r\n"
)


def days(path: Path) -> list[tuple[date, date]]:
    return [(closure.first, closure.last) for closure in read_holidays(path)]


def test_a_text_has_a_date_a_line_with_its_name_and_remarks(tmp_path: Path) -> None:
    path = tmp_path / "holidays.txt"
    path.write_text(
        "# England\n2026-12-25..2026-12-26 Christmas # observed 28th\n2027-01-01\n",
        encoding="utf-8-sig",
    )
    assert days(path) == [CHRISTMAS, NEW_YEAR]
    assert read_holidays(path)[0].reason == "Christmas"


def test_a_calendar_has_whole_day_events(tmp_path: Path) -> None:
    path = tmp_path / "holidays.ICS"
    path.write_bytes(
        b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//y//EN\r\n"
        b"BEGIN:VEVENT\r\nUID:1\r\nDTSTAMP:20260101T000000Z\r\nDTSTART;VALUE=DATE:20261225\r\n"
        b"DTEND;VALUE=DATE:20261227\r\nSUMMARY:Christmas\r\nEND:VEVENT\r\n"
        b"BEGIN:VEVENT\r\nUID:2\r\nDTSTAMP:20260101T000000Z\r\nDTSTART;VALUE=DATE:20270101\r\nEND:VEVENT\r\n"
        b"END:VCALENDAR\r\n"
    )
    assert days(path) == [CHRISTMAS, NEW_YEAR]
    assert read_holidays(path)[0].reason == "Christmas"


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        (
            "h.txt",
            b"2026-12-25\nXmas\n25/12/2026\n",
            r"h.txt, line 2: “Xmas” is no day; write it as 2026-12-25\. \(1 more like it\)",
        ),
        ("h.txt", b"\xff\xfe2\x00", "not UTF-8"),
        ("h.ics", b"hello", "not a calendar that can be read"),
        (
            "h.ics",
            b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:1\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
            "an event has no day it starts on",
        ),
        (
            "h.ics",
            LONG_EVENT,
            "longer than a year",
        ),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(
    tmp_path: Path, name: str, content: bytes, sentence: str
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(InputRefused, match=sentence):
        read_holidays(path)


def calendar(*lines: str) -> bytes:
    body = ("BEGIN:VCALENDAR", "BEGIN:VEVENT", *lines, "END:VEVENT", "END:VCALENDAR")
    return "".join(f"{line}\r\n" for line in body).encode()


@pytest.mark.parametrize(
    ("lines", "first", "last"),
    [
        (("DTSTART;VALUE=DATE:20261225", "DURATION:P2D"), date(2026, 12, 25), date(2026, 12, 26)),
        (("DTSTART;VALUE=DATE:20261225", "DURATION:-P2D"), date(2026, 12, 25), date(2026, 12, 25)),
        (("DTSTART;VALUE=DATE:20261225", "DTEND;VALUE=DATE:00010101"), date(2026, 12, 25), date(2026, 12, 25)),
        (("DTSTART;VALUE=DATE:00010101", "DTEND;VALUE=DATE:00010101"), date.min, date.min),
        (("DTSTART;VALUE=DATE:99991231",), date.max, date.max),
        (("DTSTART;TZID=../../secret:20261225T100000",), date(2026, 12, 25), date(2026, 12, 25)),
    ],
)
def test_days_at_the_edges_and_lengths_are_read(
    tmp_path: Path, lines: tuple[str, ...], first: date, last: date
) -> None:
    path = tmp_path / "h.ics"
    path.write_bytes(calendar(*lines))
    assert days(path) == [(first, last)]


CHRISTMAS_LINE = "DTSTART;VALUE=DATE:20241225"


@pytest.mark.parametrize(
    ("lines", "years"),
    [
        ((CHRISTMAS_LINE, "RRULE:FREQ=YEARLY"), list(range(2024, 2101))),
        ((CHRISTMAS_LINE, "RRULE:FREQ=YEARLY;INTERVAL=1;BYMONTH=12;BYMONTHDAY=25;COUNT=3"), [2024, 2025, 2026]),
        ((CHRISTMAS_LINE, "RRULE:FREQ=YEARLY;UNTIL=20261225"), [2024, 2025, 2026]),
        ((CHRISTMAS_LINE, "RRULE:FREQ=YEARLY;UNTIL=20261224T235959Z"), [2024, 2025]),
        (("DTSTART;VALUE=DATE:20240229", "RRULE:FREQ=YEARLY;COUNT=2"), [2024, 2028]),
    ],
)
def test_a_holiday_that_comes_back_each_year_is_read_for_each(
    tmp_path: Path, lines: tuple[str, ...], years: list[int]
) -> None:
    # RFC 5545, 3.3.10 (published): UNTIL is included, COUNT counts the first, invalid dates are skipped.
    path = tmp_path / "h.ics"
    path.write_bytes(calendar(*lines))
    assert [first.year for first, _ in days(path)] == years


@pytest.mark.parametrize(
    "lines",
    [
        ("RRULE:FREQ=SECONDLY",),
        ("RRULE:FREQ=YEARLY", "RRULE:FREQ=DAILY"),
        ("RRULE:nonsense",),
        ("RRULE:FREQ=YEARLY;UNTIL=never",),
        ("RRULE:FREQ=YEARLY;BYHOUR=9",),
        ("EXDATE:never",),
        ("RDATE:never",),
        ("DURATION:long",),
        ("DTEND:never",),
        ("RECURRENCE-ID;RANGE=THISANDFUTURE;VALUE=DATE:20251225",),
    ],
)
def test_an_event_that_is_not_understood_is_refused_by_its_name_and_never_read_as_one_day(
    tmp_path: Path, lines: tuple[str, ...]
) -> None:
    path = tmp_path / "h.ics"
    path.write_bytes(calendar(CHRISTMAS_LINE, "SUMMARY:Works shut [red]", *lines))
    with pytest.raises(InputRefused, match=r"^h\.ics: the event “Works shut \[red\]” [^\n]*\.$"):
        read_holidays(path)


def test_a_time_of_an_event_that_was_moved_or_taken_out_is_read_as_it_stands_now(tmp_path: Path) -> None:
    # RFC 5545, 3.8.4.4 and 3.8.1.11 (published): RECURRENCE-ID stands in place of one time, and CANCELLED is none.
    path = tmp_path / "h.ics"
    one = ("BEGIN:VEVENT", "UID:1")
    path.write_text(
        "\r\n".join(
            (
                "BEGIN:VCALENDAR",
                *(*one, CHRISTMAS_LINE, "RRULE:FREQ=YEARLY;COUNT=4", "END:VEVENT"),
                *(*one, "RECURRENCE-ID;VALUE=DATE:20251225", "DTSTART;VALUE=DATE:20251229", "END:VEVENT"),
                *(*one, "RECURRENCE-ID;VALUE=DATE:20261225", CHRISTMAS_LINE, "STATUS:CANCELLED", "END:VEVENT"),
                *("BEGIN:VEVENT", "UID:2", "DTSTART;VALUE=DATE:20260101", "STATUS:CANCELLED", "END:VEVENT"),
                "END:VCALENDAR",
                "",
            )
        )
    )
    assert sorted(days(path)) == [(day, day) for day in (date(2024, 12, 25), date(2025, 12, 29), date(2027, 12, 25))]


@pytest.mark.parametrize(
    "content",
    [
        calendar("DTSTART;VALUE=TIME:101010"),
        calendar("DTSTART;VALUE=PERIOD:20260101T000000Z/PT1H"),
        calendar("DTSTART;VALUE=DATE:20260101", "DTSTART;VALUE=DATE:20260102"),
        calendar("DTSTART;VALUE=DATE:20260101", "DURATION:P99999999999D"),
        calendar("DTSTART;VALUE=DATE:99991231", "DURATION:P3D"),
        b"BEGIN:VCALENDAR\r\n" + b"BEGIN:VEVENT\r\n" * 30_000,
        b"BEGIN:VCALENDAR\r\n" + b"BEGIN:VEVENT\r\n" * 10_000 + b"END:VEVENT\r\n" * 10_000 + b"END:VCALENDAR\r\n",
        calendar("SUMMARY" + ";A=b" * 90_000 + ":x"),
        b"",
    ],
    ids=range(9),
)
def test_a_calendar_that_makes_no_sense_is_refused_in_good_time(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "h.ics"
    path.write_bytes(content)
    began = time.process_time()
    with pytest.raises(InputRefused, match=r"^h\.ics[^\n]*\.$"):
        read_holidays(path)
    assert time.process_time() - began < 5


def test_ten_thousand_lines_are_read_and_kept_to_in_good_time(tmp_path: Path) -> None:
    path = tmp_path / "holidays.txt"
    lines = (FIRST + timedelta(days=step) for step in range(10_000))
    path.write_text("".join(f"{day} closed\n" for day in lines), encoding="ascii")
    began = time.process_time()
    closures = read_holidays(path)
    for _ in range(10):
        assert not visiting_days(FIRST, date(2046, 1, 1), closures=closures)
    assert len(closures) == 10_000
    assert time.process_time() - began < 2


def test_more_lines_than_any_list_of_holidays_has_are_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "holidays.txt"
    path.write_bytes(b"2026-12-25 closed\n" * 500_000)
    with pytest.raises(InputRefused, match="longer than 1 MB, too long for holidays"):
        read_holidays(path)
    path.write_bytes(b"20261225\n" * 100_000)
    began = time.process_time()
    with pytest.raises(InputRefused, match="too many"):
        read_holidays(path)
    assert time.process_time() - began < 2


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match=r"nothing\.txt cannot be read"):
        read_holidays(tmp_path / "nothing.txt")
