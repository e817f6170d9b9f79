"""What a plan of visits has to keep to."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.values.dates_in_words import date_words
from appreg.errors import InputRefused

MOST_TOLERANCE: Final = 99


class PlanTerms(Struct, frozen=True, kw_only=True):
    """The horizon, the days that can be visited, and how early and how long the work may be."""

    start: date
    end: date
    """The horizon: what falls due after it needs no visit yet."""
    allowed: Sequence[date]
    """Days on which the site can be visited, ascending, within start and end."""
    tolerance_percent: int = 25
    """How early an inspection may be made, percent of its interval."""
    capacity_minutes: int | None = None
    """Working time of a day on site; None: no limit."""

    def __post_init__(self) -> None:
        if self.end < self.start:
            raise InputRefused(
                f"The plan ends on {date_words(self.end)}, before it starts on {date_words(self.start)}; give a later end."
            )
        if not 0 <= self.tolerance_percent <= MOST_TOLERANCE:
            raise InputRefused(f"A tolerance of {self.tolerance_percent} % cannot be used; give 0 to {MOST_TOLERANCE}.")
        if self.capacity_minutes is not None and self.capacity_minutes <= 0:
            raise InputRefused("The working time of a day must be longer than 0 minutes; give more or none.")
