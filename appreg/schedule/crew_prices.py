"""What a day out must be worth: prices of inspections by day, from which no plan without lateness can be cheaper.

The dual of the problem in which a day out is filled with any work that its hours hold (D. Bertsekas, "Nonlinear
Programming", on Lagrangian duality; N. Shor's subgradients with Polyak's steps; from memory). Whatever the prices
are, the cheapest courses of all items, less what days out could take beyond their own worth, is a bound.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from math import ceil
from typing import Final

from msgspec import Struct

from appreg.schedule.crew_board import ItemNumbers, Span
from appreg.schedule.day_grid import NEVER

MOST_STEPS: Final = 300
"""Times that the prices are bettered."""
_MOST_WAYS: Final = 30_000
"""Ways in the courses of an area, above which no prices are sought: they would take too long."""
_PATIENCE: Final = 8
_CAREFUL: Final = 1e-6
_Standing = tuple[int, int]


class _Courses(Struct, kw_only=True):
    """Every course that items just alike can take, as ways from standing to standing; the last standing first."""

    count: int
    shares: list[float]
    """By inspection: the share of a day out that it takes, at most 1; a day at one site alone has most time for it."""
    ways: list[list[tuple[int, int]]]
    """By standing: the inspection (its day's place, twice, and one more for a test) and the standing after it."""
    prices: list[float]
    """By inspection."""

    def cheapest(self) -> tuple[float, list[int]]:
        """What the cheapest course costs, and its inspections."""
        costs: list[float] = []
        chosen: list[tuple[int, int]] = []
        prices = self.prices
        for ways in self.ways:
            if ways:
                cost, best = min([(prices[way[0]] + costs[way[1]], way) for way in ways])
            else:
                cost, best = 0.0, (-1, 0)
            costs.append(cost)
            chosen.append(best)
        made, at = [], len(costs) - 1
        while chosen[at][0] >= 0:
            made.append(chosen[at][0])
            at = chosen[at][1]
        return costs[-1], made


class Alike(Struct, frozen=True, kw_only=True):
    """Items of one site that behave alike in everything."""

    item: ItemNumbers
    count: int
    rooms: Mapping[int, int]
    """By day on which their site lets a crew in, ascending: the most minutes that one has there for inspections."""


def priced_days(groups: Iterable[Alike], crews: Mapping[int, int], made: int) -> int:
    """No plan in which these items are never late or hasty has fewer days out.

    `crews` are how many work on each day, as ordinals, ascending; `made` is how many days out the plan has.
    """
    courses: list[_Courses] = []
    ways = 0
    for each in groups:
        walk = _Walk(each.item, list(each.rooms), _MOST_WAYS - ways)
        if walk.all_from((0, 0), each.item.visual.first, each.item.test.first):
            courses.append(_courses(each, walk, list(crews)))
        ways += walk.found
        if ways > _MOST_WAYS:
            return 0
    return max(0, ceil(_Prices(courses, list(crews.values())).bettered(MOST_STEPS, made) - _CAREFUL)) if courses else 0


def _courses(alike: Alike, walked: "_Walk", days: Sequence[int]) -> _Courses:
    order = sorted(walked.ways, key=max, reverse=True)
    numbers = {standing: number for number, standing in enumerate(order)}
    places = {day: place for place, day in enumerate(days)}
    both = alike.item.visual.minutes, alike.item.test.minutes
    shares = [min(1.0, minutes / max(1, alike.rooms.get(day, 1))) for day in days for minutes in both]
    return _Courses(
        count=alike.count,
        shares=shares,
        ways=[
            [(2 * places[day] + is_test, numbers[following]) for day, is_test, following in walked.ways[standing]]
            for standing in order
        ],
        prices=list(shares),
    )


class _Walk:
    """Walks every course of an item that meets every window."""

    def __init__(self, item: ItemNumbers, allowed: Sequence[int], most: int) -> None:
        self._item = item
        self._allowed = allowed
        self._most = most
        self.found = 0
        self.ways: dict[_Standing, list[tuple[int, int, _Standing]]] = {}

    def all_from(self, done: _Standing, visual: Span, test: Span) -> bool:
        """Note the ways on from a standing; tells whether there is one, or none is needed."""
        if done in self.ways:
            return bool(self.ways[done]) or min(visual[1], test[1]) == NEVER
        ways: list[tuple[int, int, _Standing]] = []
        deadline = min(visual[1], test[1])
        self.ways[done] = ways
        if deadline == NEVER or self.found > self._most:
            return deadline == NEVER
        after = self._item.visual.after, self._item.test.after
        first = max(*(each + 1 for each in done), min(visual[0], test[0]))
        for day in self._allowed[bisect_left(self._allowed, first) : bisect_right(self._allowed, deadline)]:
            if test[0] <= day and self.all_from((day, day), after[0][day], after[1][day]):
                ways.append((day, 1, (day, day)))
            if visual[0] <= day < test[1] and self.all_from((day, done[1]), after[0][day], test):
                ways.append((day, 0, (day, done[1])))
        self.found += len(ways)
        return bool(ways)


class _Prices:
    """Prices under way."""

    def __init__(self, courses: Sequence[_Courses], crews: Sequence[int]) -> None:
        self._courses = courses
        self._crews = crews
        used = [{number for ways in each.ways for number, _ in ways} for each in courses]
        self._on_day = [
            [
                (each, number)
                for each, numbers in zip(courses, used, strict=True)
                for number in (2 * place, 2 * place + 1)
                if number in numbers
            ]
            for place in range(len(crews))
        ]

    def bettered(self, steps: int, made: int) -> float:
        """The best bound of so many steps."""
        best, reach, waited = 0.0, 1.0, 0
        for _ in range(steps):
            bound, slopes = self._slopes()
            waited += 1
            if bound > best + _CAREFUL:
                best, waited = bound, 0
            if waited >= _PATIENCE:
                reach, waited = reach / 2, 0
            steep = sum(slope * slope for each in slopes for slope in each.values())
            if best > made - 1 + _CAREFUL or not steep:
                break
            self._step(reach * (made - bound) / steep, slopes)
        return best

    def _step(self, length: float, slopes: Sequence[dict[int, float]]) -> None:
        for each, slope in zip(self._courses, slopes, strict=True):
            for inspection, rise in slope.items():
                each.prices[inspection] = max(0.0, each.prices[inspection] + length * rise)

    def _slopes(self) -> tuple[float, list[dict[int, float]]]:
        """The bound at these prices, and how each price would better it."""
        bound = 0.0
        slopes: list[dict[int, float]] = []
        for each in self._courses:
            cost, made = each.cheapest()
            bound += each.count * cost
            slopes.append(dict.fromkeys(made, 1.0 * each.count))
        rises = {id(each): slope for each, slope in zip(self._courses, slopes, strict=True)}
        for crews, inspections in zip(self._crews, self._on_day, strict=True):
            worth, taken = _fullest(inspections)
            if worth > 1:
                bound -= crews * (worth - 1)
                for each, inspection, share in taken:
                    rise = rises[id(each)]
                    rise[inspection] = rise.get(inspection, 0.0) - crews * share
        return bound, slopes


def _fullest(inspections: Sequence[tuple[_Courses, int]]) -> tuple[float, list[tuple[_Courses, int, float]]]:
    """The most that a day out can be worth, and with what: the dearest for its time first, the last of it in part."""
    offered = [
        (each.prices[number] / max(_CAREFUL, each.shares[number]), at)
        for at, (each, number) in enumerate(inspections)
        if each.prices[number] > 0
    ]
    worth, left = 0.0, 1.0
    taken: list[tuple[_Courses, int, float]] = []
    for _, at in sorted(offered, reverse=True):
        each, number = inspections[at]
        part = min(float(each.count), left / max(_CAREFUL, each.shares[number]))
        worth += part * each.prices[number]
        left -= part * each.shares[number]
        taken.append((each, number, part))
        if left <= 0:
            break
    return worth, taken
