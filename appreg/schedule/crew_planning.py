"""Plan several crews over several sites: nothing late that could be in time, then the fewest days out."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import cycle
from typing import Final

from appreg.schedule.crew_area_plan import AreaPlan
from appreg.schedule.crew_board import CrewBoard
from appreg.schedule.crew_building import Order, build
from appreg.schedule.crew_plans import CrewPlan
from appreg.schedule.crew_proof import BoundedArea, bounds_of
from appreg.schedule.crew_renewing import Renewal
from appreg.schedule.crew_roomy import roomy
from appreg.schedule.crew_search import AreaSearch
from appreg.schedule.crew_telling import told
from appreg.schedule.crew_terms import CrewTerms, PlanSite

_LEAST_EFFORT: Final = 6_000
_BASE_EFFORT: Final = 2_000
_EFFORT_AN_ITEM: Final = 12
_MOST_EFFORT: Final = 62_000
"""Routes of single items that are looked for before the search is content: these and so many an item, within bounds."""
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
    if effort is None:
        effort = usual_effort(sum(len(site.items) for site in board.sites))
    roomy_days = [roomy(area) for area in board.areas]
    plans = build(board, Order.BY_AREA)
    whole = True
    for order, starts in _orders([found.days for found in roomy_days], sum(len(plan.items) for plan in plans)):
        whole = whole and (go_on is None or go_on(0, effort))
        if whole:
            plans = min(plans, build(board, order, starts), key=_worth)
    bounded = [BoundedArea(plan=plan, roomy_bound=found.bound) for plan, found in zip(plans, roomy_days, strict=True)]
    whole = whole and _search(bounded, effort, go_on)
    return told(board, plans, bounds_of(bounded), is_whole=whole)


def usual_effort(items: int) -> int:
    """How many routes of single items are looked for before the search for a plan is content."""
    return max(_LEAST_EFFORT, min(_MOST_EFFORT, _BASE_EFFORT + _EFFORT_AN_ITEM * items))


def _orders(starts: Sequence[Sequence[int]], items: int) -> Iterator[tuple[Order, Sequence[Sequence[int]]]]:
    """The ways of making a first plan that come into question."""
    for order in (Order.PRESSING, Order.IN_TIME):
        yield order, starts
        if items <= _MOST_TO_BUILD_OFTEN:
            yield order, ()


def _worth(plans: Iterable[AreaPlan]) -> list[int]:
    return [sum(part) for part in zip(*(plan.worth for plan in plans), strict=True)]


def _search(areas: Sequence[BoundedArea], effort: int, go_on: GoOn | None) -> bool:
    """Plan areas anew and better one after the other, turn about; tells whether the search ended by itself."""
    plans = [area.plan for area in areas]
    bounds = [area.bound for area in areas]
    renewal = Renewal(plans, bounds, len(areas))
    searches = [AreaSearch(plans, seed) for seed in range(len(areas))]
    spent = 0
    for search, bound in cycle(zip(searches, bounds, strict=True)):
        # What a turn takes must not depend on the whole effort: more of it goes on where less has ended.
        turn = _LEAST_TURN + min(_MOST_TURN, _TURN_AN_ITEM * len(search.plan.items))
        anew = turn if len(areas) > 1 else turn // 8
        if spent + turn + anew > effort:
            break
        if go_on is not None and not go_on(spent, effort):
            return False
        renewal.round(anew)
        search.round(turn, bound)
        spent += turn + anew
    return True
