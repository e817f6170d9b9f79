"""Plan several crews over several sites: nothing late that could be in time, then the fewest days out."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import cycle
from typing import Final

from msgspec import Struct

from appreg.schedule.crew_area_plan import UNHARMED, AreaPlan
from appreg.schedule.crew_board import Area, CrewBoard, ItemNumbers
from appreg.schedule.crew_bound import fewest_days, fewest_together
from appreg.schedule.crew_building import Order, build
from appreg.schedule.crew_plans import CrewPlan
from appreg.schedule.crew_prices import Alike, priced_days
from appreg.schedule.crew_renewing import Renewal
from appreg.schedule.crew_roomy import roomy, roomy_bound
from appreg.schedule.crew_search import AreaSearch
from appreg.schedule.crew_telling import CrewBounds, told
from appreg.schedule.crew_terms import CrewTerms, PlanSite
from appreg.schedule.plan_items import LineKind

EFFORT_AN_ITEM: Final = 6
LEAST_EFFORT: Final = 1_500
"""Routes of single items that are looked for before the search is content."""
_LEAST_TURN: Final = 60
_TURN_AN_ITEM: Final = 20
_MOST_TURN: Final = 400
"""Routes in the turn of an area."""
_MOST_TO_BUILD_OFTEN: Final = 3000
"""Items above which no first plan is made without days to begin with."""

GoOn = Callable[[int, int], bool]
"""Told how much of how much is done; an answer of False ends the search with the best plan so far."""


def plan_crews(
    sites: Iterable[PlanSite], terms: CrewTerms, *, effort: int | None = None, go_on: GoOn | None = None
) -> CrewPlan:
    """The days out of all crews that keep nothing overdue as long, and are as few, as found within the effort.

    The same sites, terms and effort give the same plan; more effort never gives a worse one.
    """
    board = CrewBoard(sites, terms)
    items = sum(len(site.items) for site in board.sites)
    roomy_days = [roomy(area) for area in board.areas]
    plans = min(_first_plans(board, [found.days for found in roomy_days], items), key=_worth)
    bounded = [_Area(plan=plan, roomy_bound=found.bound) for plan, found in zip(plans, roomy_days, strict=True)]
    whole = _search(bounded, LEAST_EFFORT + EFFORT_AN_ITEM * items if effort is None else effort, go_on)
    return told(board, plans, _bounds(bounded), is_whole=whole)


def _first_plans(board: CrewBoard, starts: Sequence[Sequence[int]], items: int) -> Iterator[list[AreaPlan]]:
    yield build(board, Order.BY_AREA)
    yield build(board, Order.IN_TIME, starts)
    yield build(board, Order.PRESSING, starts)
    if items <= _MOST_TO_BUILD_OFTEN:
        yield build(board, Order.IN_TIME)
        yield build(board, Order.PRESSING)


def _worth(plans: Iterable[AreaPlan]) -> list[int]:
    return [sum(part) for part in zip(*(plan.worth for plan in plans), strict=True)]


class _Area(Struct, frozen=True, kw_only=True):
    """The plan of an area with what is known of it without regard to hours."""

    plan: AreaPlan
    roomy_bound: int

    @property
    def bound(self) -> int:
        """No plan of the area in which nothing goes later than in this has fewer days out."""
        plan = self.plan
        least = fewest_days(plan.area, plan.days.calendar, _made(plan))
        kept = plan.harm == UNHARMED and not any(item.locked for item in plan.items.values())
        return min(len(plan.outings), max(least, self.roomy_bound if kept else 0))


def _proven(area: _Area) -> int:
    """The bound at the end: with late items as late as they are, and by prices where the courses are few enough."""
    plan = area.plan
    bound = area.bound
    if bound < len(plan.outings) and plan.harm != UNHARMED:
        bound = min(len(plan.outings), max(bound, roomy_bound(plan)))
    if bound >= len(plan.outings) or any(outing.booked for outing in plan.outings):
        return bound
    calendar = plan.days.calendar
    rooms = {
        number: {
            day: calendar.most_spared(day, site.site.set_up_minutes + 2 * site.site.travel_minutes)
            for day in site.grid.ordinals
        }
        for number, site in plan.days.sites.items()
    }
    crews = {day: calendar.crews_on(day) for day in sorted({day for each in rooms.values() for day in each})}
    alike: dict[int, list[ItemNumbers]] = {}
    for number, item in plan.items.items():
        if plan.routes[number].harm == UNHARMED and not item.locked:
            alike.setdefault(item.likeness, []).append(item)
    groups = [Alike(item=each[0], count=len(each), rooms=rooms[each[0].site]) for each in alike.values()]
    return min(len(plan.outings), max(bound, priced_days(groups, crews, len(plan.outings))))


def _search(areas: Sequence[_Area], effort: int, go_on: GoOn | None) -> bool:
    """Plan areas anew and better one after the other, turn about; tells whether the search ended by itself."""
    plans = [area.plan for area in areas]
    bounds = [area.bound for area in areas]
    renewal = Renewal(plans, bounds, len(areas))
    searches = [AreaSearch(plans, seed) for seed in range(len(areas))]
    spent = 0
    for search, bound in cycle(zip(searches, bounds, strict=True)):
        # What a turn takes must not depend on the whole effort: more of it goes on where less has ended.
        turn = _LEAST_TURN + min(_MOST_TURN, _TURN_AN_ITEM * len(search.plan.items))
        if spent + 2 * turn > effort:
            break
        if go_on is not None and not go_on(spent, effort):
            return False
        renewal.round(turn)
        search.round(turn, bound)
        spent += 2 * turn
    return True


def _bounds(areas: Sequence[_Area]) -> CrewBounds:
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


def _together(areas: Sequence[_Area]) -> int:
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
