"""Among plans of equally few visits, one that inspects less early: days are moved while that helps.

A local search: each visit in turn is tried on other days between its neighbours, the latest first.
"""

from collections.abc import Sequence
from typing import Final

from appreg.schedule.option_states import PlanBoard
from appreg.schedule.visit_following import Follower

EFFORT: Final = 3000
"""Courses of single classes that are looked at before the search is content."""
_TRIALS: Final = 8
"""Days tried for one visit in one round."""


def settle_visits(board: PlanBoard, plans: Sequence[Sequence[int]], effort: int = EFFORT) -> tuple[int, ...]:
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
