"""The fewest days out that any plan of an area needs, as far as spans of time tell.

The j-th inspection of an item lies between the j-th when each is made as early as may be and the j-th when
each is made as late. So between any two days a known amount of work falls, which takes a known number of
days out; the fewest days that meet all those numbers are found by putting each as late as it can be.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from appreg.schedule.crew_board import NOTHING, Area, ItemNumbers, LineNumbers, Span
from appreg.schedule.crew_calendar import Calendar
from appreg.schedule.day_grid import NEVER
from appreg.schedule.plan_items import LineKind


class Demand(NamedTuple):
    """Work that falls between two days whatever the plan."""

    first: int
    last: int
    minutes: int


def fewest_days(area: Area, calendar: Calendar, made: Mapping[int, Sequence[tuple[int, LineKind]]]) -> int:
    """No plan of the area has fewer days out in which no inspection is later than in the plan as made.

    `made` are the inspections of each item in the plan, by ordinal.
    """
    days = sorted({day for site in area.sites for day in site.grid.ordinals})
    spare = min((site.site.set_up_minutes + 2 * site.site.travel_minutes for site in area.sites), default=0)
    capacity = max((calendar.most_spared(day, spare) for day in days), default=0)
    if capacity <= 0:
        return 0
    demands = [demand for item in area.items for demand in demands_of(item, made.get(item.number, ()), capacity)]
    return days_meeting(demands, capacity, days, calendar)


def fewest_together(
    areas: Iterable[tuple[Area, Mapping[int, Sequence[tuple[int, LineKind]]]]], calendar: Calendar
) -> int:
    """The same for all areas together: every day has its crews once, and the largest of them are few.

    0 where one inspection may take longer than a crew's day, which says nothing of how full the others are.
    """
    whole = list(areas)
    spare = min(
        (site.site.set_up_minutes + 2 * site.site.travel_minutes for area, _ in whole for site in area.sites), default=0
    )
    rooms = calendar.roomiest(spare)
    if not rooms or rooms[-1] <= 0:
        return 0
    minutes = sum(
        demand.minutes
        for area, made in whole
        for item in area.items
        for demand in demands_of(item, made.get(item.number, ()), rooms[-1])
    )
    for days, room in enumerate(rooms):
        if minutes <= 0:
            return days
        minutes -= room
    return len(rooms)


def demands_of(item: ItemNumbers, made: Sequence[tuple[int, LineKind]], capacity: int) -> list[Demand]:
    """The line of an item that asks for most; nothing for items seen on a promised day."""
    if item.locked:
        return []
    tests = _chain(item.test, item.test.first[0], [day for day, kind in made if kind is LineKind.TEST])
    least = min((line.minutes for line in (item.visual, item.test) if line.first != NOTHING), default=0)
    looks = _looks(item, [day for day, _ in made])
    whole = [Demand(*span, min(capacity, item.test.minutes)) for span in tests]
    parts = [Demand(*span, min(capacity, least)) for span in looks]
    return max(whole, parts, key=lambda demands: sum(demand.minutes for demand in demands))


def _chain(line: LineNumbers, first: int, made: Sequence[int]) -> list[Span]:
    """The spans of a line; where the plan is later than the last day allows, it stands for that."""
    spans: list[Span] = []
    last = line.first[1]
    while last != NEVER and len(spans) < len(made):
        last = max(last, made[len(spans)])
        spans.append((first, last))
        first, last = line.after[first][0], line.after[last][1]
    return spans


def _looks(item: ItemNumbers, made: Sequence[int]) -> list[Span]:
    """Inspections of either kind, since a test is a visual inspection too."""
    soonest = sorted([*_earliest(item.visual), *_earliest(item.test)])
    spans: list[Span] = []
    last = item.visual.first[1]
    while last != NEVER and len(spans) < min(len(soonest), len(made)):
        last = max(last, made[len(spans)])
        spans.append((soonest[len(spans)], last))
        last = item.visual.after[last][1]
    return spans


def _earliest(line: LineNumbers) -> Iterable[int]:
    first = line.first[0]
    while first != NEVER:
        yield first
        first = line.after[first][0]


def days_meeting(demands: Iterable[Demand], capacity: int, days: Sequence[int], calendar: Calendar) -> int:
    """The fewest days out with enough of them between any two days."""
    by_first = sorted(demands, reverse=True)
    taken: dict[int, int] = {}
    free = {day: calendar.crews_on(day) for day in days}
    for end in sorted({demand.last for demand in by_first}):
        _meet(by_first, end, capacity, taken, free)
    return sum(taken.values())


def _meet(by_first: Sequence[Demand], end: int, capacity: int, taken: dict[int, int], free: dict[int, int]) -> None:
    """Put in the days out that are lacking before an end, each as late as it can be."""
    placed = sorted((day for day in taken if day <= end), reverse=True)
    lacking = minutes = long = have = at = 0
    for first, last, each in by_first:
        if last > end:
            continue
        minutes += each
        long += 2 * each > capacity
        while at < len(placed) and placed[at] >= first:
            have += taken[placed[at]]
            at += 1
        lacking = max(lacking, -(-minutes // capacity) - have, long - have)
    for day in sorted((day for day in free if day <= end), reverse=True):
        if lacking <= 0:
            break
        more = min(lacking, free[day])
        if more:
            taken[day] = taken.get(day, 0) + more
            free[day] -= more
            lacking -= more
