"""The plan of visits to a site: which days to go, what is done on each, and how good the plan is.

Optimal for given visits is who is inspected when (least early). The number of visits comes from a bounded
search whose lower bound is told with the plan; where both agree, no plan has fewer visits. Moving days for
less early work, and days that hold no more than their working time (`crew_planning`), are heuristics.
"""

from collections.abc import Iterable, Sequence
from typing import Final

from appreg.schedule.crew_planning import plan_crews
from appreg.schedule.crew_terms import CrewTerms, PlanCrew, PlanSite
from appreg.schedule.crew_visits import visits_to
from appreg.schedule.day_grid import DayGrid
from appreg.schedule.option_states import PlanBoard
from appreg.schedule.plan_items import PlanItem
from appreg.schedule.plan_telling import ItemCourse, VisitPlan, plan_of_courses
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_following import Follower
from appreg.schedule.visit_search import EFFORT, find_visits


def plan_visits(items: Iterable[PlanItem], terms: PlanTerms, effort: int = EFFORT) -> VisitPlan:
    """The fewest visits found that keep nothing overdue, with as little early work as found."""
    known = {item.key: item for item in items}
    board = board_for(known.values(), terms)
    found = find_visits(board, effort)
    roomy = plan_of_courses(board, known, _courses(board, settle_visits(board, found.plans)), found.bound)
    capacity = terms.capacity_minutes
    if capacity is None or all(visit.minutes <= capacity for visit in roomy.visits):
        return roomy
    crew = PlanCrew(key="", people=1, minutes=dict.fromkeys(terms.allowed, capacity))
    alone = PlanSite(key="", items=tuple(known.values()), allowed=terms.allowed)
    crews = CrewTerms(start=terms.start, end=terms.end, crews=(crew,), tolerance_percent=terms.tolerance_percent)
    return visits_to(plan_crews((alone,), crews), "", least=found.bound)


def board_for(items: Iterable[PlanItem], terms: PlanTerms) -> PlanBoard:
    """The classes of the items on the days of the terms."""
    grid = DayGrid(
        start=terms.start, end=terms.end, days=tuple(terms.allowed), tolerance_percent=terms.tolerance_percent
    )
    return PlanBoard(items, grid)


def _courses(board: PlanBoard, days: Sequence[int]) -> list[ItemCourse]:
    follower = Follower(board)
    courses = []
    for member in board.classes:
        steps = follower.course(member, days).steps
        courses += [ItemCourse(key, member, steps) for key in member.keys]
    return courses


SETTLING: Final = 3000
"""Courses of single classes that are looked at before the search is content."""
_TRIALS: Final = 8
"""Days tried for one visit in one round."""


def settle_visits(board: PlanBoard, plans: Sequence[Sequence[int]], effort: int = SETTLING) -> tuple[int, ...]:
    """Days as many as those of the plans, which keep the same items in date and inspect as little early as found.

    The plans have equally many visits and keep every item in date.
    """
    follower = Follower(board)
    early = [_early(follower, board, days) for days in plans]
    effort -= len(plans) * len(board.classes)
    least = min(early)
    best = list(plans[early.index(least)])
    moved = True
    while moved and effort > 0:
        moved = False
        for place in reversed(range(len(best))):
            for day in _other_days(board, best, place):
                tried = [*best[:place], day, *best[place + 1 :]]
                effort -= len(board.classes)
                if effort <= 0 or board.unreached(tried):
                    continue
                cost = _early(follower, board, tried)
                if cost < least:
                    best, least, moved = tried, cost, True
    return tuple(best)


def _early(follower: Follower, board: PlanBoard, days: Sequence[int]) -> int:
    """Days early over all items, each item counted."""
    total = 0
    for member in board.classes:
        course = follower.course(member, days)
        total += (course.early + len(course.steps)) * len(member.keys)
    return total


def _other_days(board: PlanBoard, days: Sequence[int], place: int) -> list[int]:
    """Days a visit could move to, those near the next visit first, evenly picked."""
    first = days[place - 1] + 1 if place else 0
    last = days[place + 1] - 1 if place + 1 < len(days) else board.size - 1
    free = [day for day in range(last, first - 1, -1) if day != days[place]]
    step = max(1, len(free) // _TRIALS)
    near = [day for day in (days[place] + 1, days[place] - 1) if first <= day <= last]
    return list(dict.fromkeys([*near, *free[::step]]))
