"""A plan as people read it: visits with what is done on each, and every item's own due dates."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct

from appreg.schedule.day_grid import NEVER
from appreg.schedule.due_dates import date_after
from appreg.schedule.option_states import ItemClass, PlanBoard
from appreg.schedule.plan_items import (
    LeftOverdue,
    LineKind,
    PlanItem,
    PlannedInspection,
    PlannedVisit,
    percent_above,
    tolerance_days,
)
from appreg.schedule.visit_following import Step


class ItemCourse(Struct, frozen=True):
    """The inspections of one item, in order."""

    key: str
    member: ItemClass
    steps: Sequence[Step]


class VisitPlan(Struct, frozen=True, kw_only=True):
    """Visits with what is done on each."""

    visits: tuple[PlannedVisit, ...]
    bound: int
    """No plan in which nothing goes late has fewer visits than this; 0 where none was worked out."""
    left: tuple[LeftOverdue, ...]
    """What is overdue at the horizon for want of a day to go."""
    over_capacity: tuple[date, ...]
    """Days that hold more than their working time: one long inspection, or no other day left."""

    @property
    def minutes(self) -> int:
        """Time on site over the whole plan."""
        return sum(visit.minutes for visit in self.visits)

    @property
    def inspections(self) -> int:
        """How many inspections are made."""
        return sum(len(visit.inspections) for visit in self.visits)

    @property
    def early(self) -> int:
        """How many inspections are made before their due date."""
        return sum(inspection.early_days > 0 for visit in self.visits for inspection in visit.inspections)

    @property
    def early_days(self) -> int:
        """Days before due, summed over all inspections."""
        return sum(inspection.early_days for visit in self.visits for inspection in visit.inspections)

    @property
    def late(self) -> tuple[tuple[date, PlannedInspection], ...]:
        """Inspections made after the last day that would have kept the item in date."""
        late = ((v.day, each) for v in self.visits for each in v.inspections if each.late_days and not each.is_backlog)
        return tuple(late)

    @property
    def waiting(self) -> tuple[tuple[date, PlannedInspection], ...]:
        """Inspections of what was overdue anyway that are made later than on the first day possible."""
        return tuple((v.day, each) for v in self.visits for each in v.inspections if each.is_backlog)

    @property
    def hasty(self) -> tuple[tuple[date, PlannedInspection], ...]:
        """Inspections made earlier than the tolerance allows, so that they are not late."""
        return tuple((v.day, each) for v in self.visits for each in v.inspections if each.hasty_days)

    @property
    def late_items(self) -> int:
        """How many items go overdue although a visit could have kept them in date."""
        return len({each.key for _, each in self.late} | {each.key for each in self.left})

    @property
    def gap_percent(self) -> int:
        """How far the visits lie above the bound, percent, rounded up; 0 where the plan is proven optimal."""
        return percent_above(len(self.visits), self.bound)


def plan_of_courses(
    board: PlanBoard, items: Mapping[str, PlanItem], courses: Iterable[ItemCourse], bound: int
) -> VisitPlan:
    """The plan that the courses of all items make together, with days as long as one likes."""
    work: dict[int, list[PlannedInspection]] = {}
    left: list[LeftOverdue] = []
    for course in courses:
        inspections, undone = _told_course(board, items[course.key], course)
        for day, inspection in inspections:
            work.setdefault(day, []).append(inspection)
        left += undone
    return VisitPlan(
        visits=tuple(PlannedVisit(day=board.grid.days[day], inspections=tuple(work[day])) for day in sorted(work)),
        bound=bound,
        left=tuple(left),
        over_capacity=(),
    )


def _told_course(
    board: PlanBoard, item: PlanItem, course: ItemCourse
) -> tuple[list[tuple[int, PlannedInspection]], list[LeftOverdue]]:
    """The inspections of one item with its own due dates, and what stays overdue at the end."""
    lines = item.lines
    due = {kind: line.due for kind, line in lines.items()}
    visual, test = board.group_windows(course.member.group)
    last = {LineKind.VISUAL: course.member.visual.last, LineKind.TEST: course.member.test.last}
    made = []
    for step in course.steps:
        done = board.grid.days[step.day]
        counted = (LineKind.VISUAL, step.kind) if LineKind.VISUAL in lines else (step.kind,)
        missed = [due[kind] or board.grid.days[last[kind]] for kind in counted if last[kind] < step.day]
        passed = [day for kind in counted if (day := due[kind]) and day < done]
        wanted = due[step.kind]
        early = max(0, (wanted - done).days) if wanted else 0
        inspection = PlannedInspection(
            key=item.key,
            kind=step.kind,
            due=wanted,
            early_days=early,
            late_days=(done - min(missed)).days if missed else 0,
            overdue_days=(done - min(passed)).days if passed else 0,
            hasty_days=max(0, early - tolerance_days(lines[step.kind].period, board.grid.tolerance_percent)),
            minutes=lines[step.kind].minutes,
        )
        made.append((step.day, inspection))
        for kind in lines if step.kind is LineKind.TEST else (LineKind.VISUAL,):
            due[kind] = date_after(done, lines[kind].period)
            last[kind] = (visual if kind is LineKind.VISUAL else test)[step.day].last
    undone = [
        LeftOverdue(key=item.key, kind=kind, due=due[kind])
        for kind in lines
        if last[kind] != NEVER or board.grid.has_no_day_for(due[kind])
    ]
    return made, undone
