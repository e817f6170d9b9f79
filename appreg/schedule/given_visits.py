"""What is done on visits whose days are given: everybody's own inspections, as little late and as little early as can be."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from appreg.schedule.plan_items import LeftOverdue, PlanItem, PlannedInspection
from appreg.schedule.plan_telling import ItemCourse, plan_of_courses
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_following import Follower, Step
from appreg.schedule.visit_plans import board_for


class GivenVisit(Struct, frozen=True, kw_only=True):
    """A visit on a day that somebody chose."""

    key: str
    """Unique among the visits to a site."""
    day: date
    items: frozenset[str] = frozenset()
    """Keys of the items that can be inspected then; empty: whatever is due."""


class FollowedVisits(Struct, frozen=True, kw_only=True):
    """What is done on each of the visits, and what none of them meets."""

    work: Mapping[str, tuple[PlannedInspection, ...]]
    """By key of the visit, each of them in it."""
    left: tuple[LeftOverdue, ...]
    """What is overdue at the horizon."""


def follow_visits(items: Iterable[PlanItem], terms: PlanTerms, visits: Sequence[GivenVisit]) -> FollowedVisits:
    """Follow every item through the visits at which it can be inspected; their days need not be those of the terms.

    Two visits on one day stay two: what neither names is done on the first that names nothing.
    """
    known = {item.key: item for item in items}
    days = sorted({*terms.allowed, *(visit.day for visit in visits)})
    board = board_for(known.values(), replace(terms, allowed=tuple(days)))
    follower = Follower(board)
    numbers = {day: number for number, day in enumerate(days)}
    open_to_all = sorted({numbers[visit.day] for visit in visits if not visit.items})
    own: dict[str, set[int]] = {}
    for visit in visits:
        for key in visit.items:
            own.setdefault(key, set()).add(numbers[visit.day])
    courses = []
    for member in board.classes:
        followed: dict[tuple[int, ...], list[Step]] = {}
        for key in member.keys:
            met = tuple(sorted({*open_to_all, *own.get(key, ())}))
            if met not in followed:
                followed[met] = list(follower.course(member, met).steps)
            courses.append(ItemCourse(key, member, list(followed[met])))
    plan = plan_of_courses(board, known, courses, 0, ())
    return FollowedVisits(
        work=_by_visit(visits, {visit.day: visit.inspections for visit in plan.visits}), left=plan.left
    )


def _by_visit(
    visits: Sequence[GivenVisit], made: Mapping[date, Sequence[PlannedInspection]]
) -> dict[str, tuple[PlannedInspection, ...]]:
    work: dict[str, tuple[PlannedInspection, ...]] = {}
    taken: dict[date, set[str]] = {}
    # Visits that name their items take these before one that does whatever is due.
    for visit in sorted(visits, key=lambda each: not each.items):
        gone = taken.setdefault(visit.day, set())
        own = tuple(
            each
            for each in made.get(visit.day, ())
            if each.key not in gone and (not visit.items or each.key in visit.items)
        )
        gone.update(each.key for each in own)
        work[visit.key] = own
    return work
