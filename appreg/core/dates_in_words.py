"""Dates as people write them, the same on every machine: 24 Nov 2026."""

from datetime import date
from typing import Final

MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def date_words(day: date) -> str:
    """Write a date with two digits for the day, so that columns line up: 03 Nov 2026."""
    return f"{day.day:02d} {MONTHS[day.month - 1]} {day.year:04d}"
