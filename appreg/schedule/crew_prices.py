"""What a day out must be worth: prices of inspections by day, from which no plan without lateness can be cheaper.

The dual of the problem in which a day out is filled with any inspections that its hours hold (D. Bertsekas, "Nonlinear
Programming", on Lagrangian duality; N. Shor's subgradients with Polyak's steps; from memory). Whatever the prices
are, the cheapest courses of all items, less what days out could take beyond their own worth, is a bound.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from math import ceil
from typing import Final, NamedTuple

from msgspec import Struct

from appreg.schedule.crew_board import Area
from appreg.schedule.crew_courses import Alike, Courses, courses_of
from appreg.schedule.crew_fullest import NOTHING_TAKEN, Offer, Round, Taken, fullest, rounds_of

SPLIT_STEPS: Final = 150
WHOLE_STEPS: Final = 100
"""Times that the prices are bettered: with inspections that days out may share, then with whole ones."""
_MOST_SPLIT: Final = 40_000
_MOST_FILLED: Final = 8_000
"""Days out that are filled in all these steps."""
_MOST_WAYS: Final = 30_000
"""Ways in the courses of an area, above which no prices are sought: they would take too long."""
_PATIENCE: Final = 8
_CAREFUL: Final = 1e-6

Crew = tuple[int, int]
"""People, and what all of them can do on a day, minutes of one person."""


class PricedArea(Struct, frozen=True, kw_only=True):
    """An area with the items that go into its bound."""

    area: Area
    alike: tuple[Alike, ...]


def priced_days(areas: Iterable[PricedArea], crews: Mapping[int, Sequence[Crew]], made: int) -> int:
    """No plan in which these items are never late or hasty has fewer days out.

    `crews` are those that work on each day, as ordinals, ascending; `made` is how many days out the plan has.
    """
    market = _market(areas, crews)
    if not market.courses:
        return 0
    steps = min(SPLIT_STEPS, _MOST_SPLIT // market.shifts)
    best = market.bettered(steps, made, is_split=True)
    if best <= made - 1:
        steps = min(WHOLE_STEPS, _MOST_FILLED // market.shifts)
        best = max(best, market.bettered(steps, made, is_split=False))
    return max(0, ceil(best - _CAREFUL))


class _Shift(NamedTuple):
    """Crews just alike on one day, with what each could do in every round."""

    crews: int
    rounds: list[list[Offer]]


def _market(areas: Iterable[PricedArea], crews: Mapping[int, Sequence[Crew]]) -> "_Market":
    places = {day: place for place, day in enumerate(crews)}
    courses: list[Courses] = []
    rounds: list[tuple[Round, list[int]]] = []
    ways = 0
    for priced in areas:
        first = len(courses)
        for alike in priced.alike:
            found, tried = courses_of(alike, places, _MOST_WAYS - ways)
            ways += tried
            if ways > _MOST_WAYS:
                return _Market([], [])
            if found:
                courses.append(found)
        theirs = range(first, len(courses))
        rounds += [
            (each, [at for at in theirs if courses[at].alike.item.site in each.overheads])
            for each in rounds_of(priced.area)
        ]
    return _Market(courses, _shifts(courses, rounds, crews))


def _shifts(
    courses: Sequence[Courses], rounds: Sequence[tuple[Round, list[int]]], crews: Mapping[int, Sequence[Crew]]
) -> list[_Shift]:
    used = [each.inspections for each in courses]
    shifts: list[_Shift] = []
    for place, working in enumerate(crews.values()):
        on_day = (2 * place, 2 * place + 1)
        there = [(each, [(at, n) for at in members for n in on_day if n in used[at]]) for each, members in rounds]
        for (people, capacity), many in Counter(working).items():
            offered = [
                [
                    _offer(
                        courses[at],
                        at,
                        number,
                        each.share(courses[at].alike.item.site, courses[at].minutes(number), people, capacity),
                    )
                    for at, number in made
                ]
                for each, made in there
                if made and (len(each.overheads) == 1 or capacity > people * max(each.overheads.values()))
            ]
            shifts.append(_Shift(many, offered))
    return shifts


def _offer(courses: Courses, at: int, inspection: int, share: float) -> Offer:
    courses.prices[inspection] = max(courses.prices[inspection], share)
    return Offer(at, inspection, share, courses.alike.count)


class _Market:
    """Prices under way."""

    def __init__(self, courses: Sequence[Courses], shifts: Sequence[_Shift]) -> None:
        self.courses = courses
        self._shifts = shifts
        self._prices = [each.prices for each in courses]

    @property
    def shifts(self) -> int:
        """How many days out are told apart."""
        return max(1, len(self._shifts))

    def bettered(self, steps: int, made: int, *, is_split: bool) -> float:
        """The best bound of so many steps; the prices are left where it was found."""
        best, reach, waited = 0.0, 1.0, 0
        kept = [list(each) for each in self._prices]
        for _ in range(steps):
            bound, slopes = self._slopes(is_split=is_split)
            waited += 1
            if bound > best + _CAREFUL:
                best, waited = bound, 0
                kept = [list(each) for each in self._prices]
            if waited >= _PATIENCE:
                reach, waited = reach / 2, 0
            steep = sum(slope * slope for each in slopes for slope in each.values())
            if best > made - 1 + _CAREFUL or not steep:
                break
            self._step(reach * (made - bound) / steep, slopes)
        for prices, each in zip(self._prices, kept, strict=True):
            prices[:] = each
        return best

    def _step(self, length: float, slopes: Sequence[dict[int, float]]) -> None:
        for prices, slope in zip(self._prices, slopes, strict=True):
            for inspection, rise in slope.items():
                prices[inspection] = max(0.0, prices[inspection] + length * rise)

    def _slopes(self, *, is_split: bool) -> tuple[float, list[dict[int, float]]]:
        """The bound at these prices, and how each price would better it."""
        bound = 0.0
        slopes: list[dict[int, float]] = []
        for each in self.courses:
            cost, made = each.cheapest()
            bound += each.alike.count * cost
            slopes.append(dict.fromkeys(made, 1.0 * each.alike.count))
        for shift in self._shifts:
            taken = self._fullest(shift, is_split=is_split)
            if taken.worth > 1:
                bound -= shift.crews * (taken.worth - 1)
                for offer, number in taken.what:
                    rise = slopes[offer.course]
                    rise[offer.inspection] = rise.get(offer.inspection, 0.0) - shift.crews * number
        return bound, slopes

    def _fullest(self, shift: _Shift, *, is_split: bool) -> Taken:
        best = NOTHING_TAKEN
        for offers in shift.rounds:
            found = fullest(offers, self._prices, max(1.0, best.worth), is_split=is_split)
            if found.worth > best.worth:
                best = found
        return best
