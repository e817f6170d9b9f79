"""Holidays out of a text or a calendar."""

from datetime import date
from pathlib import Path

import pytest

from appreg.errors import InputRefused
from appreg.exchange.holiday_file import read_holidays

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


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match=r"nothing\.txt cannot be read"):
        read_holidays(tmp_path / "nothing.txt")
