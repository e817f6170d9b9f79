"""Draft a plan of visits: move the visits that were proposed, and see at once what would go overdue."""

from bisect import bisect_left, bisect_right
from datetime import date
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import date_words
from appreg.errors import InputRefused
from appreg.schedule.plan_items import LineKind, PlannedVisit
from appreg.schedule.visit_plans import move_visit
from appreg.tasks.planning.plan_visits import EstatePlan, TripPlan

_WEEK: Final = 7


class DraftVisit(Struct, frozen=True, kw_only=True):
    """One visit of a draft."""

    trip: int
    """Place of its trip in the plan."""
    site_names: str
    visit: PlannedVisit
    capacity_minutes: int | None


class LateLine(Struct, frozen=True, kw_only=True):
    """An inspection that the draft makes too late, or not at all."""

    appliance: Appliance
    kind: LineKind
    due: date | None
    on: date | None
    """The day on which it is made; None: not before the plan ends."""
    days: int | None
    """Days after the last one that would have kept it in date."""


class PlanDraft(Struct, frozen=True, kw_only=True):
    """The plan as proposed, and as it now stands."""

    proposed: EstatePlan
    now: EstatePlan

    @property
    def is_changed(self) -> bool:
        """A visit was moved."""
        return self.now != self.proposed

    @property
    def visits(self) -> tuple[DraftVisit, ...]:
        """All visits by day."""
        listed = [
            DraftVisit(
                trip=at,
                site_names=", ".join(site.name for site in trip.sites),
                visit=visit,
                capacity_minutes=trip.terms.capacity_minutes,
            )
            for at, trip in enumerate(self.now.trips)
            for visit in trip.plan.visits
        ]
        return tuple(sorted(listed, key=lambda each: (each.visit.day, each.site_names.casefold(), each.trip)))

    @property
    def late(self) -> tuple[LateLine, ...]:
        """What goes overdue, the soonest first; what no visit meets last."""
        lines = [line for trip in self.now.trips for line in _late_lines(trip)]
        return tuple(
            sorted(lines, key=lambda line: (line.on or date.max, line.due or date.min, tag_order(line.appliance.tag)))
        )


def draft_of(plan: EstatePlan) -> PlanDraft:
    """A draft of a plan as it was proposed."""
    return PlanDraft(proposed=plan, now=plan)


def move_planned_visit(draft: PlanDraft, *, trip: int, day: date, steps: int) -> tuple[PlanDraft, date]:
    """Move a visit by so many allowed days, later or (negative) earlier; returns the draft and its new day.

    Raises InputRefused where the site cannot be visited so early or late.
    """
    planned = draft.now.trips[trip]
    allowed = planned.terms.allowed
    place = bisect_right(allowed, day) - 1 + steps if steps > 0 else bisect_left(allowed, day) + steps
    if not 0 <= place < len(allowed):
        end = "before" if steps < 0 else "after"
        raise InputRefused(f"The visit stays on {date_words(day)}: the plan has no day {end} that to go.")
    new = allowed[place]
    moved = replace(planned, plan=move_visit(planned.plan, planned.items, planned.terms, day, new))
    trips = (*draft.now.trips[:trip], moved, *draft.now.trips[trip + 1 :])
    return replace(draft, now=replace(draft.now, trips=trips)), new


def steps_of_week(draft: PlanDraft, moved: DraftVisit, weeks: int) -> int:
    """How many allowed days a visit moves by in so many weeks, at least one in that direction."""
    day = moved.visit.day.toordinal()
    wanted = day + weeks * _WEEK
    low, high = min(day, wanted - 1), max(day, wanted)
    allowed = draft.now.trips[moved.trip].terms.allowed
    between = sum(low < each.toordinal() <= high and each != moved.visit.day for each in allowed)
    return max(1, between) if weeks > 0 else -max(1, between)


def _late_lines(trip: TripPlan) -> list[LateLine]:
    late = [
        LateLine(appliance=trip.appliances[each.key], kind=each.kind, due=each.due, on=day, days=each.late_days)
        for day, each in trip.plan.late
    ]
    left = [
        LateLine(appliance=trip.appliances[each.key], kind=each.kind, due=each.due, on=None, days=None)
        for each in trip.plan.left
    ]
    return late + left
