"""Every course that an item can take through a plan without harm, and the cheapest of them at given prices."""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence

from msgspec import Struct

from appreg.schedule.crew_board import ItemNumbers, Span
from appreg.schedule.day_grid import NEVER

_Standing = tuple[int, int]
"""Ordinals of the last visual inspection and the last test; 0: the plan has made none."""


class Alike(Struct, frozen=True, kw_only=True):
    """Items of one site that behave alike in everything."""

    item: ItemNumbers
    count: int
    days: Sequence[int]
    """Ordinals of the days on which their site lets a crew in, ascending."""


class Courses(Struct, kw_only=True):
    """Every course that items just alike can take, as ways from standing to standing; the last standing first."""

    alike: Alike
    ways: list[list[tuple[int, int]]]
    """By standing: the inspection (its day's place, twice, and one more for a test) and the standing after it."""
    prices: list[float]
    """By inspection: the share of a day out that it is worth."""

    @property
    def inspections(self) -> set[int]:
        """Those that any course has."""
        return {number for ways in self.ways for number, _ in ways}

    def minutes(self, inspection: int) -> int:
        """How long one takes."""
        return self.alike.item.test.minutes if inspection % 2 else self.alike.item.visual.minutes

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


def courses_of(alike: Alike, places: Mapping[int, int], most: int) -> tuple[Courses | None, int]:
    """The courses of items, if there are any and no more than so many ways in them; and how many ways were found.

    `places` numbers the days of the plan by their ordinals.
    """
    walk = _Walk(alike.item, alike.days, most)
    if not walk.all_from((0, 0), alike.item.visual.first, alike.item.test.first) or walk.found > most:
        return None, walk.found
    order = sorted(walk.ways, key=max, reverse=True)
    numbers = {standing: number for number, standing in enumerate(order)}
    ways = [
        [(2 * places[day] + is_test, numbers[following]) for day, is_test, following in walk.ways[standing]]
        for standing in order
    ]
    return Courses(alike=alike, ways=ways, prices=[0.0] * (2 * len(places))), walk.found


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
