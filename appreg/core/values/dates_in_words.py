"""Dates as people write them, the same on every machine: 24 Nov 2026, or 24.11.2026 where people write that."""

from datetime import date
from enum import StrEnum
from typing import Final

MONTH_NAMES: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
MONTHS: Final = tuple(name[:3] for name in MONTH_NAMES)


class DateForm(StrEnum):
    """How dates are written on paper; no form can be read with the month first."""

    WORDS = "words"
    """24 Nov 2026"""
    DOTTED = "dotted"
    """24.11.2026"""


def date_words(day: date, form: DateForm = DateForm.WORDS) -> str:
    """Write a date with two digits for the day, so that columns line up: 03 Nov 2026."""
    if form is DateForm.DOTTED:
        return f"{day.day:02d}.{day.month:02d}.{day.year:04d}"
    return f"{day.day:02d} {MONTHS[day.month - 1]} {day.year:04d}"
