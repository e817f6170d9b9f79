"""What no plan by crews goes below: of several bounds, each area's best, and those of all areas together."""

from collections.abc import Sequence

from msgspec import Struct

from appreg.schedule.crew_area_plan import AreaPlan
from appreg.schedule.crew_board import Area, ItemNumbers
from appreg.schedule.crew_bound import fewest_days, fewest_together
from appreg.schedule.crew_courses import Alike
from appreg.schedule.crew_prices import Crew, PricedArea, priced_days
from appreg.schedule.crew_roomy import opens_only, roomy_bound
from appreg.schedule.crew_telling import CrewBounds
from appreg.schedule.plan_items import LineKind


class BoundedArea(Struct, frozen=True, kw_only=True):
    """The plan of an area with what is known of it without regard to hours."""

    plan: AreaPlan
    roomy_bound: int

    @property
    def bound(self) -> int:
        """No plan of the area in which nothing goes later than in this has fewer days out."""
        plan = self.plan
        least = fewest_days(plan.area, plan.days.calendar, _made(plan))
        kept = plan.meets_windows and opens_only(plan) and not any(item.locked for item in plan.items.values())
        return min(len(plan.outings), max(least, self.roomy_bound if kept else 0))


def _proven(area: BoundedArea) -> int:
    """The bound at the end: with late items as late as they are, and by prices where the courses are few enough."""
    plan = area.plan
    bound = area.bound
    if bound < len(plan.outings) and not plan.meets_windows:
        bound = min(len(plan.outings), max(bound, roomy_bound(plan)))
    if bound >= len(plan.outings) or any(outing.booked for outing in plan.outings):
        return bound
    return min(len(plan.outings), max(bound, priced_days([_priced(plan)], _crews_by_day([plan]), len(plan.outings))))


def _priced(plan: AreaPlan) -> PricedArea:
    """An area with those of its items that the plan does no harm."""
    alike: dict[int, list[ItemNumbers]] = {}
    for number, item in plan.items.items():
        if plan.routes[number].meets_windows and not item.locked:
            alike.setdefault(item.likeness, []).append(item)
    return PricedArea(
        area=plan.area,
        alike=tuple(
            Alike(item=each[0], count=len(each), days=plan.days.sites[each[0].site].grid.ordinals)
            for each in alike.values()
        ),
    )


def _crews_by_day(plans: Sequence[AreaPlan]) -> dict[int, list[Crew]]:
    """The crews that work on each day on which a site of these areas is open."""
    days = sorted({day for plan in plans for site in plan.area.sites for day in site.grid.ordinals})
    return {day: plans[0].days.calendar.working(day) for day in days}


def bounds_of(areas: Sequence[BoundedArea]) -> CrewBounds:
    """The bounds of all areas together, and of the visits to each site."""
    visits: dict[str, int] = {}
    days = 0
    for area in areas:
        plan = area.plan
        least = _proven(area)
        days += least
        for site in plan.area.sites:
            made = sum(site.number in outing.counts for outing in plan.outings)
            alone = fewest_days(Area(sites=(site,), within=0), plan.days.calendar, _made(plan))
            visits[site.site.key] = min(made, alone if len(plan.area.sites) > 1 else least)
    return CrewBounds(max(days, _together(areas)), visits)


def _together(areas: Sequence[BoundedArea]) -> int:
    """The bound of all areas by their hours alone; a promised day may hold more than its hours."""
    plans = [area.plan for area in areas]
    out = [outing for plan in plans for outing in plan.outings]
    if not out or any(outing.booked for outing in out):
        return 0
    return min(len(out), fewest_together([(plan.area, _made(plan)) for plan in plans], plans[0].days.calendar))


def _made(plan: AreaPlan) -> dict[int, list[tuple[int, LineKind]]]:
    """By item: the inspections of the plan; those brought forward before their tolerance say nothing of others."""
    return {
        number: [(step.outing.day, step.kind) for step in route.steps]
        for number, route in plan.routes.items()
        if not route.hasty
    }
