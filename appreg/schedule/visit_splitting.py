"""A visit that takes longer than the working day is split over the days before it, so that nothing goes overdue.

A heuristic: on each visit the inspections that can wait longest keep the day, the others move to the nearest
day before it with time left, and to days after it only where there is none.
"""

from collections.abc import Mapping, Sequence

from msgspec import Struct, field

from appreg.schedule.day_grid import NEVER, Window
from appreg.schedule.option_states import START, ItemClass, PlanBoard
from appreg.schedule.plan_items import LineKind, PlanItem
from appreg.schedule.visit_following import Step


class ItemCourse(Struct):
    """The inspections of one item, in order, as the plan now stands."""

    key: str
    member: ItemClass
    steps: list[Step]


class _Standing(Struct):
    """How far one item has come."""

    course: ItemCourse
    visual: Window
    test: Window
    day: int = START
    made: list[Step] = field(default_factory=list)

    @property
    def deadline(self) -> int:
        return min(self.visual.last, self.test.last)


class DaySplitter:
    """Gives every inspection a day that has time left for it."""

    def __init__(self, board: PlanBoard, items: Mapping[str, PlanItem], capacity: int) -> None:
        """Capacity: the working time of a day on site, minutes."""
        self._board = board
        self._minutes = {key: {kind: line.minutes for kind, line in item.lines.items()} for key, item in items.items()}
        self._capacity = capacity
        self._load: dict[int, int] = {}

    def split(self, courses: Sequence[ItemCourse]) -> list[int]:
        """Move the steps of the courses so that days keep within their capacity; returns the days that cannot."""
        standings = [_Standing(course, course.member.visual, course.member.test) for course in courses]
        by_visit: dict[int, list[_Standing]] = {}
        for standing in standings:
            for step in standing.course.steps:
                by_visit.setdefault(step.day, []).append(standing)
        for visit in sorted(by_visit):
            for standing in sorted(by_visit[visit], key=lambda each: each.deadline, reverse=True):
                if not self._is_on_last_day(standing):
                    self._place(standing, visit, standing.course.steps[len(standing.made)].kind)
        for standing in standings:
            # Work brought forward may fall due once more before the horizon.
            while (last := standing.deadline) != NEVER and not self._is_on_last_day(standing):
                self._place(standing, last, LineKind.TEST if standing.test.last == last else LineKind.VISUAL)
            standing.course.steps = standing.made
        return sorted(day for day, load in self._load.items() if load > self._capacity)

    def _place(self, standing: _Standing, visit: int, kind: LineKind) -> None:
        taken = self._minutes[standing.course.key][kind]
        latest = max(standing.day + 1, min(visit, standing.deadline))
        day = next((d for d in range(latest, standing.day, -1) if self._has_time(d, taken)), None)
        if day is None:
            later = range(latest, self._board.size)
            day = next((d for d in later if self._has_time(d, taken)), latest)
        self._load[day] = self._load.get(day, 0) + taken
        standing.made.append(Step(day, kind))
        standing.day = day
        visual, test = self._board.group_windows(standing.course.member.group)
        standing.visual = visual[day]
        if kind is LineKind.TEST:
            standing.test = test[day]

    def _is_on_last_day(self, standing: _Standing) -> bool:
        """Tell whether no day is left on which the item could be inspected once more."""
        return standing.day == self._board.size - 1

    def _has_time(self, day: int, taken: int) -> bool:
        """An empty day always has: an inspection longer than a day is not split further."""
        load = self._load.get(day, 0)
        return load == 0 or load + taken <= self._capacity
