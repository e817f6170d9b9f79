"""Plan several crews over several sites: nothing late that could be in time, then the fewest days out."""

from collections.abc import Callable, Iterable, Sequence
from typing import Final

from appreg.schedule.crew_area_plan import AreaPlan
from appreg.schedule.crew_board import Area, CrewBoard, SiteNumbers
from appreg.schedule.crew_bound import fewest_days
from appreg.schedule.crew_building import build
from appreg.schedule.crew_plans import CrewPlan
from appreg.schedule.crew_search import AreaSearch
from appreg.schedule.crew_telling import CrewBounds, told
from appreg.schedule.crew_terms import CrewTerms, PlanSite
from appreg.schedule.option_states import PlanBoard
from appreg.schedule.plan_items import LineKind
from appreg.schedule.visit_search import find_visits

EFFORT_AN_ITEM: Final = 100
LEAST_EFFORT: Final = 1_500
"""Routes of single items that are looked for before the search is content."""
_ROUNDS: Final = 12
"""Turns that every area gets: the more turns, the sooner a plan stopped early is good everywhere."""
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
    plans = min(
        (build(board, starts) for starts in (_when_roomy(board), [()] * len(board.areas))),
        key=lambda plans: [sum(part) for part in zip(*(plan.worth for plan in plans), strict=True)],
    )
    if effort is None:
        effort = LEAST_EFFORT + EFFORT_AN_ITEM * sum(len(plan.items) for plan in plans)
    whole = _search(plans, effort, go_on)
    return told(board, plans, _bounds(plans), is_whole=whole)


def _when_roomy(board: CrewBoard) -> list[tuple[int, ...]]:
    """By area: the days of its visits if a day were as long as one likes."""
    return [_roomy_days(area.sites[0]) if len(area.sites) == 1 else () for area in board.areas]


def _roomy_days(site: SiteNumbers) -> tuple[int, ...]:
    found = find_visits(PlanBoard((each.item for each in site.items), site.grid), _START_EFFORT)
    return tuple(site.grid.ordinals[day] for day in found.plans[0])


def _search(plans: Sequence[AreaPlan], effort: int, go_on: GoOn | None) -> bool:
    """Give every area its turns; tells whether the search ended by itself."""
    searches = [AreaSearch(plan, seed) for seed, plan in enumerate(plans)]
    bounds = [_bound(plan) for plan in plans]
    weight = max(1, sum(len(plan.items) for plan in plans))
    spent = 0
    for _ in range(_ROUNDS):
        for search, bound in zip(searches, bounds, strict=True):
            if go_on is not None and not go_on(spent, effort):
                return False
            share = effort * len(search.plan.items) // (_ROUNDS * weight)
            search.round(share, bound)
            spent += share
    return True


def _bounds(plans: Sequence[AreaPlan]) -> CrewBounds:
    visits: dict[str, int] = {}
    for plan in plans:
        for site in plan.area.sites:
            made = sum(site.number in outing.counts for outing in plan.outings)
            area = Area(sites=(site,), within=0)
            visits[site.site.key] = min(made, fewest_days(area, plan.days.calendar, _made(plan)))
    return CrewBounds(sum(_bound(plan) for plan in plans), visits)


def _bound(plan: AreaPlan) -> int:
    return min(len(plan.outings), fewest_days(plan.area, plan.days.calendar, _made(plan)))


def _made(plan: AreaPlan) -> dict[int, list[tuple[int, LineKind]]]:
    """By item: the inspections of the plan; those brought forward before their tolerance say nothing of others."""
    return {
        number: [(step.outing.day, step.kind) for step in route.steps]
        for number, route in plan.routes.items()
        if not route.hasty
    }
