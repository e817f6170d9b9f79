"""Closures out of calendars against RFC 5545's own rules (published), as dateutil works them out, and published holidays."""

from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from dateutil.rrule import rrulestr
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appreg.exchange.holiday_file import read_holidays

_END = datetime(2100, 12, 31)  # noqa: DTZ001 - whole days have no zone


def _days(folder: Path, *lines: str) -> list[date]:
    """Every day that is closed."""
    path = folder / "h.ics"
    body = ("BEGIN:VCALENDAR", "BEGIN:VEVENT", "SUMMARY:Closed", *lines, "END:VEVENT", "END:VCALENDAR", "")
    path.write_text("\r\n".join(body), encoding="utf-8")
    found = {
        shut.first + timedelta(days=step)
        for shut in read_holidays(path)
        for step in range((shut.last - shut.first).days + 1)
    }
    return sorted(found)


# Dates as https://www.gov.uk/bank-holidays lists them for England and Wales (published).
@pytest.mark.parametrize(
    ("first", "rule", "listed"),
    [
        ("20240506", "FREQ=YEARLY;BYMONTH=5;BYDAY=1MO", ["2024-05-06", "2025-05-05", "2026-05-04", "2027-05-03"]),
        ("20240527", "FREQ=YEARLY;BYMONTH=5;BYDAY=-1MO", ["2024-05-27", "2025-05-26", "2026-05-25", "2027-05-31"]),
        ("20240826", "FREQ=YEARLY;BYMONTH=8;BYDAY=-1MO", ["2024-08-26", "2025-08-25", "2026-08-31", "2027-08-30"]),
        ("20241225", "FREQ=YEARLY", ["2024-12-25", "2025-12-25", "2026-12-25"]),
    ],
)
def test_holidays_that_come_back_fall_where_they_are_published(
    first: str, rule: str, listed: list[str], tmp_path: Path
) -> None:
    found = _days(tmp_path, f"DTSTART;VALUE=DATE:{first}", f"RRULE:{rule}")
    assert [day.isoformat() for day in found][: len(listed)] == listed
    assert found[-1].year == 2100


_RULES = st.one_of(
    st.builds(
        "FREQ=YEARLY;INTERVAL={};BYMONTH={};BYDAY={}{}".format,
        st.integers(1, 4),
        st.integers(1, 12),
        st.sampled_from(["1", "2", "-1", ""]),
        st.sampled_from(["MO", "WE", "SU"]),
    ),
    st.builds("FREQ=MONTHLY;INTERVAL={};BYMONTHDAY={}".format, st.integers(1, 5), st.sampled_from([1, 15, 31, -1])),
    st.builds("FREQ=WEEKLY;INTERVAL={};BYDAY={}".format, st.integers(2, 6), st.sampled_from(["MO,FR", "SA", "TU"])),
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    rule=_RULES,
    first=st.dates(date(2020, 1, 1), date(2030, 12, 31)),
    length=st.integers(1, 12),
    count=st.integers(1, 9),
    out=st.integers(0, 8),
    added=st.dates(date(2020, 1, 1), date(2060, 1, 1)),
)
def test_rules_lengths_and_listed_days_come_to_what_dateutil_makes_of_them(
    *, rule: str, first: date, length: int, count: int, out: int, added: date, tmp_path: Path
) -> None:
    start = datetime(first.year, first.month, first.day)  # noqa: DTZ001
    times = [moment.date() for moment in rrulestr(f"{rule};COUNT={count}", dtstart=start) if moment <= _END]
    left_out = times[out % len(times)] if times else first
    kept = {first, added, *times} - {left_out}
    wanted = {day + timedelta(days=step) for day in kept for step in range(length)}
    found = _days(
        tmp_path,
        f"DTSTART;VALUE=DATE:{first:%Y%m%d}",
        f"DURATION:P{length}D",
        f"RRULE:{rule};COUNT={count}",
        f"RDATE;VALUE=DATE:{added:%Y%m%d}",
        f"EXDATE;VALUE=DATE:{left_out:%Y%m%d}",
    )
    assert found == sorted(wanted)


# RFC 5545, 3.6.1 (published): DTEND is not part of the event; 3.3.10: UNTIL is told in universal time.
@pytest.mark.parametrize(
    ("lines", "closed"),
    [
        (("DTSTART;VALUE=DATE:20261225", "DTEND;VALUE=DATE:20261227"), ["2026-12-25", "2026-12-26"]),
        (("DTSTART:20261225T100000", "DTEND:20261226T120000"), ["2026-12-25", "2026-12-26"]),
        (("DTSTART:20261225T100000", "DTEND:20261226T000000"), ["2026-12-25"]),
        (("DTSTART:20261225T220000", "DURATION:PT10H"), ["2026-12-25", "2026-12-26"]),
        (("DTSTART;VALUE=DATE:20261225", "DURATION:P1W"), [f"2026-12-{day}" for day in range(25, 32)]),
        (
            (
                "DTSTART;TZID=Australia/Sydney:20261225T080000",
                "RRULE:FREQ=YEARLY;UNTIL=20271224T210000Z",
            ),
            ["2026-12-25", "2027-12-25"],
        ),
    ],
)
def test_the_last_day_of_an_event_is_that_of_the_standard(
    lines: tuple[str, ...], closed: list[str], tmp_path: Path
) -> None:
    assert [day.isoformat() for day in _days(tmp_path, *lines)] == closed
