"""First plans for all crews: what can still be in time first, or what is overdue; days out opened where none has time.

Each inspection joins a day out that is there already and has time; only where there is none in its window is
another opened, on the last day of the window on which a crew is free.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Sequence
from enum import Enum
from typing import Final

from appreg.schedule.crew_area_plan import DAY_OUT, UNHARMED, AreaPlan
from appreg.schedule.crew_board import SHARES, CrewBoard, ItemNumbers
from appreg.schedule.crew_calendar import Calendar
from appreg.schedule.crew_roomy import roomy
from appreg.schedule.crew_routes import Miss, Route
from appreg.schedule.day_grid import NEVER

_MOST_OPENED: Final = 60
"""Days out opened for one item: more than the inspections of any interval in use."""


class Order(Enum):
    """Whose turn it is."""

    PRESSING = "the most pressing item of all sites, overdue or not"
    IN_TIME = "what can be in time of all sites, then what is overdue"
    BY_AREA = "one area after the other on days that suit it, the longest overdue last"


def build(board: CrewBoard, order: Order, starts: Sequence[Sequence[int]] = ()) -> list[AreaPlan]:
    """The areas' plans, every item with a route; `starts` are days by area, as ordinals, that are good to begin with."""
    calendar = Calendar(board.terms)
    plans = [AreaPlan(board, area, calendar) for area in board.areas]
    _book(board, plans)
    if order is Order.BY_AREA:
        for plan in sorted(plans, key=_patience):
            fill(plan, calendar.has_large)
    else:
        for plan, days in zip(plans, starts, strict=bool(starts)):
            _open(plan, days)
        _insert_all(plans, order)
    for plan in plans:
        plan.tidy()
        plan.forget()
    return plans


def _patience(plan: AreaPlan) -> tuple[int, int]:
    """How long an area can wait for its turn: until something is late, or late by a step more; then by what is overdue."""
    items = plan.items.values()
    soonest = min((_first_step(item) for item in items), default=NEVER)
    return soonest, sum(item.urgency[1] for item in items if item.is_backlog)


def _first_step(item: ItemNumbers) -> int:
    """The last day on which an item does no harm, or none but waiting."""
    return min(
        line.first[1] + (SHARES // (4 * line.weight) if line.is_backlog else 0)
        for line in (item.visual, item.test)
        if line.weight
    )


def fill(plan: AreaPlan, is_offered: Callable[[int], bool]) -> None:
    """Plan an area by itself, beginning with days that suit it of those that are offered; none is to have a route."""
    _open(plan, roomy(plan.area, is_offered).days)
    plan.effort += len(plan.items)
    _insert_all([plan], Order.IN_TIME)


def _open(plan: AreaPlan, days: Iterable[int]) -> None:
    for day in days:
        if plan.days.calendar.is_free(day):
            plan.open(day)


def _insert_all(plans: Sequence[AreaPlan], order: Order) -> None:
    owner = {item.number: plan for plan in plans for item in plan.items.values()}
    everything = [item for plan in plans for item in plan.items.values()]
    late_last = order is not Order.PRESSING

    def turn(item: ItemNumbers) -> tuple[object, ...]:
        return (late_last and item.is_backlog, *item.urgency, item.site, item.likeness)

    before: ItemNumbers | None = None
    for item in sorted(everything, key=turn):
        plan = owner[item.number]
        alike = plan.routes[before.number] if before and before.likeness == item.likeness else None
        if alike and not item.locked and alike.harm == UNHARMED and plan.fits(item, alike):
            plan.place(item, alike)
        else:
            insert(plan, item)
        before = item
    for plan in plans:
        plan.tidy()


def _book(board: CrewBoard, plans: Sequence[AreaPlan]) -> None:
    terms = board.terms
    crews = {crew.key: number for number, crew in enumerate(terms.crews)}
    numbers = {site.site.key: site.number for site in board.sites}
    for plan in plans:
        promised: dict[tuple[int, int], set[int]] = {}
        for each in terms.booked:
            if numbers.get(each.site) in plan.days.sites and terms.start <= each.day <= terms.end:
                day = each.day.toordinal()
                crew = plan.days.calendar.largest(day) if each.crew is None else crews[each.crew]
                promised.setdefault((day, crew), set()).add(numbers[each.site])
        for (day, crew), sites in sorted(promised.items()):
            plan.book(day, crew, sites)


def insert(plan: AreaPlan, item: ItemNumbers) -> None:
    """Place an item, on days out opened for it where those there are would do it harm."""
    route = None if item.locked else plan.harmless(item)
    if route is None or route.forced:
        route = _met(plan, item, plan.route(item))
    hopeless = 0
    while hopeless < len(route.misses):
        better = _opened(plan, item, route, route.misses[hopeless])
        if better is None:
            hopeless += 1
        else:
            route = better
    plan.place(item, route)


def _met(plan: AreaPlan, item: ItemNumbers, route: Route) -> Route:
    """A less harmful route by a day out in every window that can still have one, or the same."""
    before, mark = route, plan.mark()
    for _ in range(_MOST_OPENED):
        misses = [miss for miss in route.misses if not miss.is_met]
        days = (day_to_open(plan, item, miss) for miss in misses)
        day = next((day for day, miss in zip(days, misses, strict=True) if day and day <= miss.last), None)
        if day is None:
            break
        plan.open(day)
        route = plan.route(item)
    if route.harm[:2] < before.harm[:2] or before.waiting - route.waiting > DAY_OUT:
        return route
    plan.back_to(mark)
    return before


def _opened(plan: AreaPlan, item: ItemNumbers, route: Route, miss: Miss) -> Route | None:
    """A less harmful route by one more day out, where that is worth a day to all who wished for it."""
    day = day_to_open(plan, item, miss)
    if day is None:
        return None
    mark = plan.mark()
    plan.open(day)
    better = plan.route(item)
    wished = plan.wishes[day] = plan.wishes.get(day, 0) + max(0, route.waiting - better.waiting)
    if better.harm[:2] < route.harm[:2] or (better.harm < route.harm and wished > DAY_OUT):
        plan.wishes.pop(day)
        return better
    plan.back_to(mark)
    return None


def day_to_open(plan: AreaPlan, item: ItemNumbers, miss: Miss) -> int | None:
    """The day in the window that is missed with the largest free crew, the last of these; or the first free after it.

    Days since the inspection before it come first, then those on which a test would take its place.
    """
    days = plan.days.sites[item.site].grid.ordinals
    calendar = plan.days.calendar
    since = max(miss.first, miss.since + 1)
    for first, last in ((since, miss.last), (miss.first, min(miss.since, miss.last))):
        within = days[bisect_left(days, first) : bisect_right(days, last)]
        best = max(within, key=lambda day: (calendar.offers(day), day), default=None)
        if best is not None and calendar.is_free(best):
            return best
    following = range(bisect_right(days, max(miss.last, miss.since)), len(days))
    return next((days[place] for place in following if calendar.is_free(days[place])), None)
