"""Plan several crews over several sites: nothing late that could be in time, then the fewest days out."""

from collections.abc import Callable, Iterable, Sequence
from typing import Final, NamedTuple

from msgspec import Struct

from appreg.schedule.crew_area_plan import UNHARMED, AreaPlan
from appreg.schedule.crew_board import Area, CrewBoard, ItemNumbers
from appreg.schedule.crew_bound import fewest_days, fewest_together
from appreg.schedule.crew_building import build
from appreg.schedule.crew_plans import CrewPlan
from appreg.schedule.crew_prices import Alike, priced_days
from appreg.schedule.crew_search import AreaSearch
from appreg.schedule.crew_telling import CrewBounds, told
from appreg.schedule.crew_terms import CrewTerms, PlanSite
from appreg.schedule.option_states import PlanBoard
from appreg.schedule.plan_items import LineKind
from appreg.schedule.visit_search import find_visits

EFFORT_AN_ITEM: Final = 6
LEAST_EFFORT: Final = 1_500
"""Routes of single items that are looked for before the search is content."""
_ROUNDS: Final = 12
"""Turns that every area gets: the more turns, the sooner a plan stopped early is good everywhere."""
_MOST_TO_BUILD_TWICE: Final = 3000
"""Items above which only one first plan is made."""
_START_EFFORT: Final = 20_000
"""Effort for the days that each site would be visited on if a day were as long as one likes."""

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
    roomy = [_roomy(area) for area in board.areas]
    starts: list[Sequence[Sequence[int]]] = [[found.days for found in roomy], [()] * len(board.areas)]
    plans = min(
        (build(board, start) for start in (starts if items <= _MOST_TO_BUILD_TWICE else starts[:1])),
        key=lambda plans: [sum(part) for part in zip(*(plan.worth for plan in plans), strict=True)],
    )
    bounded = [_Area(plan=plan, roomy_bound=found.bound) for plan, found in zip(plans, roomy, strict=True)]
    whole = _search(bounded, LEAST_EFFORT + EFFORT_AN_ITEM * items if effort is None else effort, go_on)
    return told(board, plans, _bounds(bounded), is_whole=whole)


class _Roomy(NamedTuple):
    """The visits of an area if a day were as long as one likes; none where several sites share days out."""

    days: Sequence[int]
    bound: int


def _roomy(area: Area) -> _Roomy:
    if len(area.sites) > 1:
        return _Roomy((), 0)
    site = area.sites[0]
    found = find_visits(PlanBoard((each.item for each in site.items), site.grid), _START_EFFORT)
    return _Roomy(tuple(site.grid.ordinals[day] for day in found.plans[0]), found.bound)


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
    """The bound at the end: by prices too, where every day is open and the courses are few enough."""
    plan = area.plan
    if area.bound >= len(plan.outings) or any(outing.booked for outing in plan.outings):
        return area.bound
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
    return min(len(plan.outings), max(area.bound, priced_days(groups, crews, len(plan.outings))))


def _search(areas: Sequence[_Area], effort: int, go_on: GoOn | None) -> bool:
    """Give every area its turns; tells whether the search ended by itself."""
    plans = [area.plan for area in areas]
    searches = [(AreaSearch(plans, seed), area.bound) for seed, area in enumerate(areas)]
    weight = max(1, sum(len(area.plan.items) for area in areas))
    spent = 0
    for _ in range(_ROUNDS):
        for search, bound in searches:
            if go_on is not None and not go_on(spent, effort):
                return False
            share = effort * len(search.plan.items) // (_ROUNDS * weight)
            search.round(share, bound)
            spent += share
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
