"""What is done on visits whose days somebody chose: the work that each was given, and what came since, where it fits best."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.schedule.day_grid import NEVER, Window
from appreg.schedule.option_states import ItemClass, PlanBoard
from appreg.schedule.plan_items import LeftOverdue, LineKind, PlanItem, PlannedInspection
from appreg.schedule.plan_telling import ItemCourse, plan_of_courses
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_following import Follower, Step
from appreg.schedule.visit_plans import board_for


class GivenVisit(Struct, frozen=True, kw_only=True):
    """A visit on a day that somebody chose."""

    key: str
    """Unique among the visits to a site."""
    day: date
    work: Mapping[str, LineKind] = field(default_factory=dict)
    """By key of the item what is done on it; empty: whatever is due."""


class FollowedVisits(Struct, frozen=True, kw_only=True):
    """What is done on each of the visits, and what none of them meets."""

    work: Mapping[str, tuple[PlannedInspection, ...]]
    """By key of the visit, each of them in it."""
    left: tuple[LeftOverdue, ...]
    """What is overdue at the horizon."""


def follow_visits(items: Iterable[PlanItem], terms: PlanTerms, visits: Sequence[GivenVisit]) -> FollowedVisits:
    """Follow every item through the visits; their days need not be those of the terms.

    An item that visits name is inspected on these, whatever day they are on, unless that has become needless; one
    that none names, say one that was added since, on any of them. Two visits on one day stay two.
    """
    known = {item.key: item for item in items}
    days = sorted({*terms.allowed, *(visit.day for visit in visits)})
    board = board_for(known.values(), replace(terms, allowed=tuple(days)))
    numbers = {day: number for number, day in enumerate(days)}
    given = _steps(visits, numbers)
    everywhere = sorted({numbers[visit.day] for visit in visits})
    follower = Follower(board)
    courses = []
    for member in board.classes:
        free: Sequence[Step] | None = None
        for key in member.keys:
            if key in given:
                courses.append(ItemCourse(key, member, _needed(board, member, known[key], given[key])))
                continue
            if free is None:
                free = follower.course(member, everywhere).steps
            courses.append(ItemCourse(key, member, free))
    plan = plan_of_courses(board, known, courses, 0)
    made = {visit.day: visit.inspections for visit in plan.visits}
    return FollowedVisits(work=_by_visit(visits, made), left=plan.left)


def _steps(visits: Iterable[GivenVisit], numbers: Mapping[date, int]) -> dict[str, list[Step]]:
    """By item its steps in order; of two on one day the test counts for both."""
    kinds: dict[str, dict[int, LineKind]] = {}
    for visit in visits:
        for key, kind in visit.work.items():
            own = kinds.setdefault(key, {})
            number = numbers[visit.day]
            if own.get(number) is not LineKind.TEST:
                own[number] = kind
    return {key: [Step(day, kind) for day, kind in sorted(own.items())] for key, own in kinds.items()}


def _needed(board: PlanBoard, member: ItemClass, item: PlanItem, steps: Sequence[Step]) -> list[Step]:
    """The steps without those that an inspection made since has made needless: not begun, and nothing waits for them."""
    visual, test = board.group_windows(member.group)
    later = {LineKind.VISUAL: visual, LineKind.TEST: test}
    at: dict[LineKind, Window] = {LineKind.VISUAL: member.visual, LineKind.TEST: member.test}
    kept: list[Step] = []
    for place, (day, named) in enumerate(steps):
        counted = [kind for kind in item.lines if kind is named or named is LineKind.TEST]
        if not counted:
            continue
        # Where no test is asked for any more, what is left of it is the visual inspection.
        step = Step(day, named if named in counted else LineKind.VISUAL)
        following = steps[place + 1].day if place + 1 < len(steps) else board.size
        begun = any(at[kind].first <= step.day for kind in counted)
        waits = any(at[kind].last != NEVER and at[kind].last < following for kind in counted)
        if begun or waits:
            kept.append(step)
            for kind in counted:
                at[kind] = later[kind][step.day]
    return kept


def _by_visit(
    visits: Sequence[GivenVisit], made: Mapping[date, Sequence[PlannedInspection]]
) -> dict[str, tuple[PlannedInspection, ...]]:
    """What is done on a day, visit by visit: first to those that name it, the rest to the first that names nothing, if any."""
    work: dict[str, list[PlannedInspection]] = {visit.key: [] for visit in visits}
    for day, inspections in made.items():
        there = sorted((visit for visit in visits if visit.day == day), key=lambda each: bool(each.work))
        for each in inspections:
            named = next((visit for visit in there if each.key in visit.work), there[0])
            work[named.key].append(each)
    return {key: tuple(done) for key, done in work.items()}
