"""Days on which crews leave the base: what is visited, how long ways and work take, and how that compares."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from itertools import pairwise

from msgspec import Struct

from appreg.schedule.crew_plans import DayOut, SiteVisit

DistrictWays = Mapping[tuple[str, str], int]
"""Minutes from one district to another, or from one site of a district to the next; either order."""


class VisitedPlace(Struct, frozen=True, kw_only=True):
    """A site as a day out sees it."""

    site: str
    """Key of the site."""
    district: str = ""
    travel_minutes: int = 0
    """One way from the base."""
    set_up_minutes: int = 0


class GoingCost(Struct, frozen=True, kw_only=True):
    """What a way of going costs: days away from the base, visits, and the time of everybody."""

    days_out: int
    visits: int
    """Sites visited, each day of each counted."""
    minutes: int
    """Work, set-up and travel, minutes of one person."""


def travel_of(places: Sequence[VisitedPlace], ways: DistrictWays) -> int:
    """Minutes on the way, from the base to all places and back, district by district.

    Between two districts without a known way it leads past the base.
    """
    order = sorted(places, key=lambda each: (each.district, each.site))
    if not order:
        return 0
    total = order[0].travel_minutes + order[-1].travel_minutes
    for one, other in pairwise(order):
        pair = (one.district, other.district)
        known = ways.get(pair, ways.get(pair[::-1])) if one.district and other.district else None
        near = 0 if one.district and one.district == other.district else one.travel_minutes + other.travel_minutes
        total += near if known is None else known
    return total


def day_out(
    day: date,
    *,
    crew: str,
    people: int,
    capacity_minutes: int,
    visits: Sequence[tuple[VisitedPlace, SiteVisit]],
    ways: DistrictWays,
) -> DayOut:
    """The day of a crew that makes these visits; `capacity_minutes` are those of all its people."""
    places = {place.site: place for place, _ in visits}
    return DayOut(
        day=day,
        crew=crew,
        people=people,
        visits=tuple(visit for _, visit in visits),
        travel_minutes=travel_of(tuple(places.values()), ways),
        capacity_minutes=capacity_minutes,
    )


def cost_of_days(days: Iterable[DayOut], *, full_day: int) -> GoingCost:
    """What days out cost; one that holds more than a full day of all its people counts as several."""
    listed = tuple(days)
    return GoingCost(
        days_out=sum(_whole_days(each.minutes, full_day * each.people) for each in listed),
        visits=sum(len(each.visits) for each in listed),
        minutes=sum(each.minutes for each in listed),
    )


def cost_of_dues(
    dues: Iterable[tuple[VisitedPlace, Mapping[date, int]]], *, people: int, full_day: int, ways: DistrictWays
) -> GoingCost:
    """What going to every place whenever something is due costs: by place, the minutes of work by day.

    Places of one district are visited on one day out; work that does not fit into a day has the way once more.
    """
    together: dict[tuple[date, str], list[tuple[VisitedPlace, int]]] = {}
    for place, days in dues:
        for day, minutes in days.items():
            together.setdefault((day, place.district or f"site {place.site}"), []).append((place, minutes))
    days_out = visits = spent = 0
    for places in together.values():
        overhead = people * (
            travel_of([place for place, _ in places], ways) + sum(place.set_up_minutes for place, _ in places)
        )
        work = sum(minutes for _, minutes in places)
        needed = _whole_days(work, max(1, people * full_day - overhead))
        days_out += needed
        visits += max(needed, len(places))
        spent += work + needed * overhead
    return GoingCost(days_out=days_out, visits=visits, minutes=spent)


def _whole_days(minutes: int, full_day: int) -> int:
    return max(1, -(-minutes // max(1, full_day)))
