"""Dates as people write them, the same on every machine: 24 Nov 2026."""

from datetime import date
from typing import Final

MONTH_NAMES: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
MONTHS: Final = tuple(name[:3] for name in MONTH_NAMES)


def date_words(day: date) -> str:
    """Write a date with two digits for the day, so that columns line up: 03 Nov 2026."""
    return f"{day.day:02d} {MONTHS[day.month - 1]} {day.year:04d}"
