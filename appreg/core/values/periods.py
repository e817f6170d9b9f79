"""Lengths of time between inspections, in months and days, as ISO 8601 writes them."""

import re
from typing import Final

from msgspec import Struct

from appreg.errors import InputRefused

_FORM: Final = (
    r"P(?=\d)(?:(?P<years>\d{1,3})Y)?(?:(?P<months>\d{1,4})M)?(?:(?P<weeks>\d{1,4})W)?(?:(?P<days>\d{1,5})D)?"
)
_MONTHS_IN_400_YEARS: Final = 4800
_DAYS_IN_400_YEARS: Final = 146_097


class Period(Struct, frozen=True):
    """A length of time by the calendar; longer than nothing, ordered by mean Gregorian length."""

    months: int = 0
    """Whole months; a year is twelve."""
    days: int = 0
    """Whole days; a week is seven."""

    def __post_init__(self) -> None:
        if self.months < 0 or self.days < 0 or not (self.months or self.days):
            raise InputRefused(f"An interval of {self.months} months and {self.days} days has no length; give more.")

    def __lt__(self, other: "Period") -> bool:
        return self._rank < other._rank

    def __le__(self, other: "Period") -> bool:
        return self._rank <= other._rank

    def __gt__(self, other: "Period") -> bool:
        return self._rank > other._rank

    def __ge__(self, other: "Period") -> bool:
        return self._rank >= other._rank

    def __str__(self) -> str:
        """The period in ISO 8601: P1Y for twelve months, P18M, P7D."""
        years, rest = divmod(self.months, 12)
        by_months = "" if not self.months else f"{self.months}M" if rest else f"{years}Y"
        return "P" + by_months + (f"{self.days}D" if self.days else "")

    @property
    def words(self) -> str:
        """The period as people say it: '1 year', '18 months', '1 week'."""
        parts = []
        if self.months:
            years, rest = divmod(self.months, 12)
            parts.append(_counted(self.months, "month") if rest else _counted(years, "year"))
        if self.days:
            weeks, rest = divmod(self.days, 7)
            parts.append(_counted(self.days, "day") if rest else _counted(weeks, "week"))
        return " and ".join(parts)

    @property
    def short(self) -> str:
        """The period in a narrow column: '1 y', '18 m', '1 w'."""
        return re.sub(r"(\d+ [a-z])[a-z]*( and)?", r"\1", self.words)

    def mean_days_times(self, factor: int) -> int:
        """The mean length in the Gregorian calendar, days, times a whole number; rounded down."""
        return (self.months * _DAYS_IN_400_YEARS + self.days * _MONTHS_IN_400_YEARS) * factor // _MONTHS_IN_400_YEARS

    @property
    def _rank(self) -> tuple[int, int]:
        return self.months * _DAYS_IN_400_YEARS + self.days * _MONTHS_IN_400_YEARS, self.months


def parse_period(text: str) -> Period:
    """Read an ISO 8601 duration of years, months, weeks and days; raises InputRefused."""
    found = re.fullmatch(_FORM, text.strip())
    if not found:
        raise InputRefused(f"“{text}” is not an interval; write it as ISO 8601 does, such as P3M, P1Y or P7D.")
    years, months, weeks, days = (int(part or 0) for part in found.groups())
    return Period(months=12 * years + months, days=7 * weeks + days)


def _counted(number: int, unit: str) -> str:
    return f"{number} {unit}" if number == 1 else f"{number} {unit}s"
