"""Who is inspected on which of the given visits: for every class the chain of inspections that is least early.

Exact for given days: a shortest path over what can be true of a class after each visit. Where the days
given cannot keep an item in date, an inspection is brought forward past its tolerance or, last, made late.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

from msgspec import Struct

from appreg.schedule.day_grid import NEVER, Window
from appreg.schedule.option_states import START, ItemClass, PlanBoard
from appreg.schedule.plan_items import LineKind

_LATE: Final = 1 << 64
_HASTY: Final = 1 << 40
_EARLY: Final = 1 << 16
"""Weights that put days late before days outside the tolerance, those before days early, and number of inspections last."""


class Step(NamedTuple):
    """One inspection of a class, on a numbered day."""

    day: int
    kind: LineKind


class Course(Struct, frozen=True, kw_only=True):
    """What happens to a class over the whole plan."""

    steps: tuple[Step, ...]
    early: int
    """Days early, summed over the inspections of one item, against the last allowed day of each window."""
    hasty: int
    """Days before the tolerance allows, summed likewise."""
    late: int
    """Days late, summed likewise; what stays undone counts to the horizon."""


class _Label(NamedTuple):
    cost: int
    steps: tuple[Step, ...]


Places = tuple[int, int]
"""Numbered days of the last visual inspection and the last test."""


class Follower:
    """Follows classes of a board through given visits."""

    def __init__(self, board: PlanBoard) -> None:
        self._board = board
        self._ordinals = board.grid.ordinals
        self._horizon = board.grid.end.toordinal() + 1

    def course(self, member: ItemClass, days: Sequence[int]) -> Course:
        """The least late, then least early, course of a class through visits on these days."""
        labels: dict[Places, _Label] = {(START, START): _Label(0, ())}
        for place, day in enumerate(days):
            following = days[place + 1] if place + 1 < len(days) else self._board.size
            after: dict[Places, _Label] = {}
            for places, label in labels.items():
                self._extend(after, member, (places, label), day, following)
            labels = after
        ended = {places: label.cost + self._undone_cost(member, places) for places, label in labels.items()}
        places = min(ended, key=ended.__getitem__)
        late, rest = divmod(ended[places], _LATE)
        hasty, rest = divmod(rest, _HASTY)
        return Course(steps=labels[places].steps, early=rest // _EARLY, hasty=hasty, late=late)

    def _extend(
        self,
        after: dict[Places, _Label],
        member: ItemClass,
        before: tuple[Places, _Label],
        day: int,
        following: int,
    ) -> None:
        """Add what can follow: a test, a visual inspection alone, or nothing where nothing is due yet."""
        places, label = before
        visual, test = self._windows(member, places)
        if _may(test, day, following):
            cost = label.cost + self._cost(test, day) + self._late(visual, day) * _LATE
            _keep(after, (day, day), cost, label.steps, Step(day, LineKind.TEST))
        if _may(visual, day, following) and day < test.last:
            cost = label.cost + self._cost(visual, day)
            _keep(after, (day, places[1]), cost, label.steps, Step(day, LineKind.VISUAL))
        if day < min(visual.last, test.last):
            held = after.get(places)
            if held is None or label.cost < held.cost:
                after[places] = label

    def _windows(self, member: ItemClass, places: Places) -> tuple[Window, Window]:
        visual, test = self._board.group_windows(member.group)
        return (
            member.visual if places[0] == START else visual[places[0]],
            member.test if places[1] == START else test[places[1]],
        )

    def _cost(self, window: Window, day: int) -> int:
        early = max(0, self._ordinals[window.last] - self._ordinals[day])
        hasty = max(0, self._ordinals[window.first] - self._ordinals[day])
        return self._late(window, day) * _LATE + hasty * _HASTY + early * _EARLY + 1

    def _late(self, window: Window, day: int) -> int:
        return 0 if window.last >= day else self._ordinals[day] - self._ordinals[window.last]

    def _undone_cost(self, member: ItemClass, places: Places) -> int:
        return sum(
            (self._horizon - self._ordinals[window.last]) * _LATE
            for window in self._windows(member, places)
            if window.last != NEVER
        )


def _may(window: Window, day: int, following: int) -> bool:
    """Whether an inspection may be made now: its window has begun, or would end before the next visit."""
    return window.last != NEVER and (window.first <= day or window.last < following)


def _keep(after: dict[Places, _Label], places: Places, cost: int, steps: tuple[Step, ...], step: Step) -> None:
    held = after.get(places)
    if held is None or cost < held.cost:
        after[places] = _Label(cost, (*steps, step))
