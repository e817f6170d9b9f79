"""The plan of several crews as people read it: days out, the sites visited on each, and what is done there."""

from collections.abc import Iterator, Mapping
from datetime import date

from msgspec import Struct

from appreg.schedule.plan_items import LeftOverdue, PlannedInspection, percent_above


class SiteVisit(Struct, frozen=True, kw_only=True):
    """One site on a day out."""

    site: str
    """Key of the site."""
    inspections: tuple[PlannedInspection, ...]
    set_up_minutes: int
    """For everybody in the crew."""
    is_booked: bool = False
    is_preferred: bool = True
    """The site would have this day, or any alike."""

    @property
    def work_minutes(self) -> int:
        """The inspections alone, minutes of one person."""
        return sum(inspection.minutes for inspection in self.inspections)


class DayOut(Struct, frozen=True, kw_only=True):
    """A day on which a crew leaves the base."""

    day: date
    crew: str
    """Key of the crew."""
    people: int
    visits: tuple[SiteVisit, ...]
    travel_minutes: int
    """From the base to its sites and back, for everybody in the crew."""
    capacity_minutes: int
    """What all of them can do on this day, minutes of one person."""

    @property
    def minutes(self) -> int:
        """Work, set-up and travel of all of them, minutes of one person."""
        each = self.travel_minutes + sum(visit.set_up_minutes for visit in self.visits)
        return self.people * each + sum(visit.work_minutes for visit in self.visits)

    @property
    def is_over(self) -> bool:
        """The day takes longer than the crew has: one long inspection, or a booking that asks too much."""
        return self.minutes > self.capacity_minutes


class CrewPlan(Struct, frozen=True, kw_only=True):
    """Days out with what is done on each, and how good the plan is."""

    days_out: tuple[DayOut, ...]
    """By day, then crew."""
    left: Mapping[str, tuple[LeftOverdue, ...]]
    """By key of the site: what is overdue at the horizon for want of a day to go."""
    bound: int
    """No plan in which nothing goes later than in this one has fewer days out."""
    site_bounds: Mapping[str, int]
    """By key of the site: the same of the visits there."""
    is_whole: bool = True
    """The search ended by itself; False: a person stopped it, and this is the best until then."""

    @property
    def visits(self) -> Iterator[tuple[DayOut, SiteVisit]]:
        """Every visit with its day out."""
        return ((out, visit) for out in self.days_out for visit in out.visits)

    @property
    def inspections(self) -> Iterator[tuple[DayOut, SiteVisit, PlannedInspection]]:
        """Every inspection with its visit and day out."""
        return ((out, visit, each) for out, visit in self.visits for each in visit.inspections)

    @property
    def late(self) -> tuple[tuple[DayOut, SiteVisit, PlannedInspection], ...]:
        """Inspections made after the last day that would have kept the item in date, the latest first."""
        late = (row for row in self.inspections if row[2].late_days and not row[2].is_backlog)
        return tuple(sorted(late, key=lambda row: (-row[2].late_days, row[0].day, row[2].key)))

    @property
    def waiting(self) -> tuple[tuple[DayOut, SiteVisit, PlannedInspection], ...]:
        """Inspections of what was overdue anyway that are made later than on the first day possible, by day."""
        return tuple(row for row in self.inspections if row[2].is_backlog)

    @property
    def hasty(self) -> tuple[tuple[DayOut, SiteVisit, PlannedInspection], ...]:
        """Inspections made earlier than the tolerance allows, so that they are not late."""
        return tuple(row for row in self.inspections if row[2].hasty_days)

    @property
    def late_items(self) -> int:
        """How many items go overdue although a visit could have kept them in date."""
        return len({each.key for _, _, each in self.late} | {each.key for left in self.left.values() for each in left})

    @property
    def minutes(self) -> int:
        """Work, set-up and travel over the whole plan, minutes of one person."""
        return sum(out.minutes for out in self.days_out)

    @property
    def gap_percent(self) -> int:
        """How far the days out lie above the bound, percent, rounded up; 0 where the plan is proven optimal."""
        return percent_above(len(self.days_out), self.bound)
