"""The plan of visits to a site: which days to go, what is done on each, and how good the plan is.

Optimal for given visits is who is inspected when (least early). The number of visits comes from a bounded
search whose lower bound is told with the plan; where both agree, no plan has fewer visits. Moving days for
less early work, and splitting long days, are heuristics.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Final

from appreg.schedule.day_grid import NEVER, DayGrid, Window
from appreg.schedule.option_states import PlanBoard
from appreg.schedule.plan_items import LineKind, PlanItem
from appreg.schedule.plan_telling import VisitPlan, plan_of_courses
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_following import Follower, Step
from appreg.schedule.visit_search import EFFORT, find_visits
from appreg.schedule.visit_splitting import DaySplitter, ItemCourse


def plan_visits(items: Iterable[PlanItem], terms: PlanTerms, effort: int = EFFORT) -> VisitPlan:
    """The fewest visits found that keep nothing overdue, with as little early work as found."""
    known = {item.key: item for item in items}
    board = board_for(known.values(), terms)
    found = find_visits(board, effort)
    courses = _courses(board, settle_visits(board, found.plans))
    if terms.capacity_minutes is None:
        return plan_of_courses(board, known, courses, found.bound, ())
    over = DaySplitter(board, known, terms.capacity_minutes).split(courses)
    days_of_work = -(-_least_minutes(board, known, terms.capacity_minutes) // terms.capacity_minutes)
    return plan_of_courses(board, known, courses, max(found.bound, days_of_work), over)


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
        courses += [ItemCourse(key, member, list(steps)) for key in member.keys]
    return courses


def _least_minutes(board: PlanBoard, items: Mapping[str, PlanItem], day: int) -> int:
    """Time that no plan can go below: every inspection as late as can be, a visual one where a test is not due.

    An inspection longer than a day counts as one day, for it is not split.
    """
    total = 0
    for member in board.classes:
        windows = zip((member.visual, member.test), board.group_windows(member.group), strict=True)
        looks, tests = (_fewest_inspections(first, later) for first, later in windows)
        for key in member.keys:
            minutes = {kind: min(day, line.minutes) for kind, line in items[key].lines.items()}
            total += tests * minutes.get(LineKind.TEST, 0)
            total += max(0, looks - tests) * min(minutes.values(), default=0)
    return total


def _fewest_inspections(first: Window, later: Sequence[Window]) -> int:
    made = 0
    last = first.last
    while last != NEVER:
        made += 1
        last = later[last].last
    return made


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


def move_visit(plan: VisitPlan, items: Iterable[PlanItem], terms: PlanTerms, old: date, new: date) -> VisitPlan:
    """The plan with the work of one day done on another allowed day; what goes late is told with it.

    Where the other day has a visit already, both become one; a test then counts for both inspections.
    """
    known = {item.key: item for item in items}
    board = board_for(known.values(), terms)
    numbers = {day: number for number, day in enumerate(board.grid.days)}
    steps: dict[str, dict[int, LineKind]] = {key: {} for key in known}
    for visit in plan.visits:
        number = numbers[new if visit.day == old else visit.day]
        for each in visit.inspections:
            own = steps[each.key]
            if own.get(number) is not LineKind.TEST:
                own[number] = each.kind
    courses = [
        ItemCourse(key, member, [Step(day, kind) for day, kind in sorted(steps[key].items())])
        for member in board.classes
        for key in member.keys
    ]
    return plan_of_courses(board, known, courses, plan.bound, _overfull(known, courses, terms.capacity_minutes))


def _overfull(items: dict[str, PlanItem], courses: Iterable[ItemCourse], capacity: int | None) -> list[int]:
    if capacity is None:
        return []
    load: dict[int, int] = {}
    for course in courses:
        for step in course.steps:
            load[step.day] = load.get(step.day, 0) + items[course.key].lines[step.kind].minutes
    return sorted(day for day, minutes in load.items() if minutes > capacity)
