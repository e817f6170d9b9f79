"""A visit of a plan moved to another day: its work goes with it, and every later due date follows."""

from collections.abc import Iterable
from datetime import date

from appreg.schedule.plan_items import LineKind, PlanItem
from appreg.schedule.plan_telling import VisitPlan, plan_of_courses
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_following import Step
from appreg.schedule.visit_plans import board_for
from appreg.schedule.visit_splitting import ItemCourse


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
