"""What the plan of several crews over several sites has to keep to: crews, sites, booked visits, travel."""

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from typing import Final

from msgspec import Struct, field

from appreg.core.values.dates_in_words import date_words
from appreg.errors import InputRefused
from appreg.schedule.plan_items import PlanItem
from appreg.schedule.plan_terms import MOST_TOLERANCE

MOST_PEOPLE: Final = 99


class PlanCrew(Struct, frozen=True, kw_only=True):
    """People who go out together."""

    key: str
    """Unique in the plan; say the crew's uid."""
    people: int
    minutes: Mapping[date, int]
    """By day on which they work, absent days left out: the time from leaving the base to being back, minutes."""

    def __post_init__(self) -> None:
        if not 1 <= self.people <= MOST_PEOPLE:
            raise InputRefused(f"A crew of {self.people} people cannot be planned; give 1 to {MOST_PEOPLE}.")

    def capacity(self, day: date) -> int:
        """What all of them can do on a day, travel included, minutes of one person; 0 where they do not work."""
        return self.people * max(0, self.minutes.get(day, 0))


class PlanSite(Struct, frozen=True, kw_only=True):
    """A site with its items and the days on which it lets a crew in."""

    key: str
    """Unique in the plan; say the site's uid."""
    items: tuple[PlanItem, ...]
    """Their keys are unique over all sites."""
    allowed: Sequence[date]
    """Days on which it can be visited, closures left out, ascending."""
    preferred: AbstractSet[date] = frozenset()
    """Of these the days it would rather have; empty: all alike."""
    set_up_minutes: int = 0
    """Time of each visit before the first and after the last inspection, for everybody in the crew."""
    travel_minutes: int = 0
    """One way from the base, for everybody in the crew."""
    district: str = ""
    """Sites of one district are visited on one day out; empty: on a day of its own."""


class FixedVisit(Struct, frozen=True, kw_only=True):
    """A visit that is promised: its day and its crew stay."""

    site: str
    """Key of the site."""
    day: date
    """Also where rule or closure would not allow it: what is promised holds."""
    crew: str | None = None
    """Key of the crew; None: whichever has most time on that day."""
    items: frozenset[str] | None = None
    """Keys of the items that are to be inspected then, due or not; None: whatever is best."""


class CrewTerms(Struct, frozen=True, kw_only=True):
    """The horizon, the crews, and how early the work may be."""

    start: date
    end: date
    """The horizon: what falls due after it needs no visit yet."""
    crews: tuple[PlanCrew, ...]
    tolerance_percent: int = 25
    """How early an inspection may be made, percent of its interval."""
    within_district: Mapping[str, int] = field(default_factory=dict)
    """By district: minutes from one of its sites to the next; 0 where none is given."""
    booked: tuple[FixedVisit, ...] = ()

    def __post_init__(self) -> None:
        if self.end < self.start:
            raise InputRefused(
                f"The plan ends on {date_words(self.end)}, before it starts on {date_words(self.start)}; give a later end."
            )
        if not 0 <= self.tolerance_percent <= MOST_TOLERANCE:
            raise InputRefused(f"A tolerance of {self.tolerance_percent} % cannot be used; give 0 to {MOST_TOLERANCE}.")
        if not self.crews:
            raise InputRefused("A plan by crews needs a crew; name one with its people and hours.")
