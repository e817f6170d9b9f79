"""The most that one day out can be worth: which inspections fill it, at given prices."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import Final, NamedTuple

from msgspec import Struct

from appreg.schedule.crew_board import Area, SiteNumbers

_MOST_SITES: Final = 4
"""Sites of an area above which rounds are not told apart."""
_MOST_LOOKED_AT: Final = 200
"""Fillings that are looked at before one that may split an inspection stands for the best."""
CAREFUL: Final = 1e-9


class Offer(NamedTuple):
    """An inspection that may be made on a day out."""

    course: int
    inspection: int
    share: float
    """Of the day out."""
    most: int
    """How many items there are on which it can be made."""


class Taken(NamedTuple):
    """What fills a day out."""

    worth: float
    what: list[tuple[Offer, float]]
    """With how many of each."""


NOTHING_TAKEN: Final = Taken(0.0, [])


class Round(Struct, frozen=True):
    """Sites that are visited on one day out, with the minutes of each person that inspecting there leaves no time for."""

    overheads: Mapping[int, int]
    """By number of the site."""

    def share(self, site: int, minutes: int, people: int, capacity: int) -> float:
        """The share of a day out that an inspection takes: at most 1, since one alone may take longer than a day."""
        return min(1.0, minutes / max(1, capacity - people * self.overheads[site]))


def rounds_of(area: Area) -> Iterator[Round]:
    """Every choice of sites; of many sites one round in which each counts as though it were the only one."""
    if len(area.sites) > _MOST_SITES:
        yield Round({site.number: _overhead((site,), area.within) for site in area.sites})
        return
    for many in range(1, len(area.sites) + 1):
        for sites in combinations(area.sites, many):
            yield Round(dict.fromkeys((site.number for site in sites), _overhead(sites, area.within)))


def _overhead(sites: Sequence[SiteNumbers], within: int) -> int:
    farthest = max(site.site.travel_minutes for site in sites)
    return 2 * farthest + sum(site.site.set_up_minutes for site in sites) + within * (len(sites) - 1)


def fullest(offers: Sequence[Offer], prices: Sequence[Sequence[float]], least: float, *, is_split: bool) -> Taken:
    """The filling that is worth most, where any is worth more than the least; nothing otherwise.

    With `is_split` the last inspection may be made in part: sooner found, and never worth less.
    """
    wanted = [(prices[offer.course][offer.inspection], offer) for offer in offers]
    wanted = [each for each in wanted if each[0] > 0]
    if sum([price * offer.most for price, offer in wanted]) <= least:
        return NOTHING_TAKEN
    wanted.sort(key=_by_density, reverse=True)
    split = _split(wanted)
    if split.worth <= least + CAREFUL:
        return NOTHING_TAKEN
    if is_split or all(number == int(number) for _, number in split.what):
        return split
    return _Filling(wanted, least).best() or split


def _by_density(each: tuple[float, Offer]) -> float:
    return each[0] / max(CAREFUL, each[1].share)


def _split(wanted: Sequence[tuple[float, Offer]]) -> Taken:
    worth, left = 0.0, 1.0
    what: list[tuple[Offer, float]] = []
    for price, offer in wanted:
        number = min(float(offer.most), left / max(CAREFUL, offer.share))
        worth += number * price
        left -= number * offer.share
        what.append((offer, number))
        if left <= CAREFUL:
            break
    return Taken(worth, what)


class _Filling:
    """One search for the best filling with whole inspections: branch and bound."""

    def __init__(self, wanted: Sequence[tuple[float, Offer]], least: float) -> None:
        self._wanted = wanted
        self._best = least
        self._what: list[tuple[Offer, float]] = []
        self._looked_at = 0

    def best(self) -> Taken | None:
        """The best filling; nothing where none is worth more than the least; None where there are too many to tell."""
        self._go_on(0, 1.0, 0.0, [])
        if self._looked_at > _MOST_LOOKED_AT:
            return None
        return Taken(self._best, self._what) if self._what else NOTHING_TAKEN

    def _go_on(self, at: int, left: float, worth: float, what: list[tuple[Offer, float]]) -> None:
        self._looked_at += 1
        if worth > self._best + CAREFUL:
            self._best, self._what = worth, list(what)
        if self._looked_at > _MOST_LOOKED_AT or not self._can_better(at, left, worth):
            return
        price, offer = self._wanted[at]
        for number in range(min(offer.most, int(left / max(CAREFUL, offer.share) + CAREFUL)), -1, -1):
            taken = [*what, (offer, float(number))] if number else what
            self._go_on(at + 1, left - number * offer.share, worth + number * price, taken)

    def _can_better(self, at: int, left: float, worth: float) -> bool:
        for price, offer in self._wanted[at:]:
            number = min(float(offer.most), left / max(CAREFUL, offer.share))
            worth += number * price
            left -= number * offer.share
            if worth > self._best + CAREFUL:
                return True
            if left <= CAREFUL:
                break
        return False
