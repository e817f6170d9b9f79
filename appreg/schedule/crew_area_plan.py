"""The plan of one area under way: every item's route through its days out, with every step taken back at will."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Final

from appreg.schedule.crew_board import Area, CrewBoard, ItemNumbers, SiteNumbers
from appreg.schedule.crew_calendar import AreaDays, Calendar, Outing
from appreg.schedule.crew_routes import Route, Router
from appreg.schedule.day_grid import NEVER

Harm = tuple[int, int, int]
"""Needless lateness, haste and waiting of an item; none is (0, 0, 0)."""
UNHARMED: Harm = (0, 0, 0)
DAY_OUT: Final = 50_000
"""What a day out weighs against waiting: ten weeks of one yearly item that has just fallen due, or one of forty such."""
Worth = tuple[int, int, int, int, int, int]
"""Needless lateness, haste, days out and waiting by weight, visits, those on days not preferred, days early; less is better."""


class AreaPlan:
    """Days out of an area with every item's route; each change is noted so that it can be taken back."""

    def __init__(self, board: CrewBoard, area: Area, calendar: Calendar) -> None:
        self.area = area
        self.days = AreaDays(board, area, calendar)
        self.router = Router(self.days)
        self.items: Mapping[int, ItemNumbers] = {item.number: item for item in area.items}
        self.backlog = frozenset(item.number for item in area.items if item.is_backlog)
        self.routes: dict[int, Route] = {}
        self.effort = 0
        """Routes looked for so far."""
        self.wishes: dict[int, int] = {}
        """By day on which nobody goes here yet: the waiting that items were not spared for want of it."""
        self._sums = [0, 0, 0, 0]
        self._log: list[Callable[[], object]] = []

    @property
    def outings(self) -> list[Outing]:
        """The days out as they are now."""
        return self.days.outings

    @property
    def worth(self) -> Worth:
        """How good it is; less is better."""
        late, hasty, waiting, early = self._sums
        visits = rather_not = 0
        for outing in self.outings:
            visits += len(outing.counts)
            rather_not += sum(outing.day not in self._site(number).preferred for number in outing.counts)
        return late, hasty, DAY_OUT * len(self.outings) + waiting, visits, rather_not, early

    @property
    def harm(self) -> Harm:
        """What is wrong with it, over all items."""
        late, hasty, waiting, _ = self._sums
        return late, hasty, waiting

    @property
    def meets_windows(self) -> bool:
        """Nothing is outside its window."""
        return all(route.meets_windows for route in self.routes.values())

    @property
    def harms(self) -> dict[int, Harm]:
        """What harm each item has now, by number; those without are left out."""
        return {number: route.harm for number, route in self.routes.items() if route.harm != UNHARMED}

    @property
    def patient_harms(self) -> dict[int, Harm]:
        """The same, where what is overdue in any case may wait longer: whether that is worth it the whole tells."""
        harms = self.harms
        for number in {number for number, harm in harms.items() if harm[0]}.union(self.backlog):
            harms[number] = (*harms.get(number, UNHARMED)[:2], NEVER)
        return harms

    def _site(self, number: int) -> SiteNumbers:
        return self.days.sites[number]

    def mark(self) -> int:
        """A place to come back to."""
        return len(self._log)

    def back_to(self, mark: int) -> None:
        """Take back everything since a mark."""
        while len(self._log) > mark:
            self._log.pop()()

    def forget(self) -> None:
        """What was done stays done."""
        self._log.clear()

    def open(self, day: int) -> Outing:
        """Send a crew here on a day on which one is free."""
        outing = self.days.open(day)
        self._log.append(lambda: self.days.close(outing))
        return outing

    def book(self, day: int, crew: int, sites: Iterable[int]) -> None:
        """Send a crew to the sites to which it is promised."""
        outing = self.days.calendar.take(day, self.area.within, crew)
        outing.booked = frozenset(sites)
        self.days.add(outing)
        for number in sorted(outing.booked):
            outing.join(self._site(number))

    def close(self, outing: Outing) -> None:
        """Leave a day out on which nothing is done any more."""
        self.days.close(outing)
        self._log.append(lambda: self._reopen(outing))

    def _reopen(self, outing: Outing) -> None:
        self.days.calendar.retake(outing)
        self.days.add(outing)

    def place(self, item: ItemNumbers, route: Route) -> None:
        """Let an item take its route."""
        self._put(item, route)
        self._log.append(lambda: self._off(item))

    def lift(self, numbers: Iterable[int]) -> list[ItemNumbers]:
        """Take items off their routes; returns those that had one."""
        lifted = [self.items[number] for number in numbers if number in self.routes]
        for item in lifted:
            self._log.append(self._again(item, self._off(item)))
        return lifted

    def _again(self, item: ItemNumbers, route: Route) -> Callable[[], None]:
        return lambda: self._put(item, route)

    def _put(self, item: ItemNumbers, route: Route) -> None:
        self.routes[item.number] = route
        site = self._site(item.site)
        for outing, _, minutes in route.steps:
            outing.join(site)
            outing.counts[item.site] += 1
            outing.work += minutes
            outing.spare -= minutes
            outing.members.add(item.number)
        self._count(route, 1)

    def _off(self, item: ItemNumbers) -> Route:
        route = self.routes.pop(item.number)
        site = self._site(item.site)
        for outing, _, minutes in route.steps:
            outing.counts[item.site] -= 1
            outing.work -= minutes
            outing.spare += minutes
            outing.members.discard(item.number)
            if not outing.counts[item.site] and item.site not in outing.booked:
                outing.leave(site, self.days.sites)
        self._count(route, -1)
        return route

    def _count(self, route: Route, sign: int) -> None:
        self._sums[0] += sign * route.late
        self._sums[1] += sign * (route.hasty + route.forced)
        self._sums[2] += sign * route.waiting
        self._sums[3] += sign * route.early

    def route(self, item: ItemNumbers) -> Route:
        """The best route of an item that has none, as the days are now."""
        self.effort += 1
        return self.router.route(item)

    def harmless(self, item: ItemNumbers) -> Route | None:
        """The best route that meets every window, if any. Not for items with promised days."""
        self.effort += 1
        return self.router.harmless(item)

    def settle(self, items: Sequence[ItemNumbers], allowed: Mapping[int, Harm]) -> list[ItemNumbers]:
        """Give items routes in this order; returns those whose best would do more harm than is allowed."""
        failed: list[ItemNumbers] = []
        likeness = -1
        route: Route | None = None
        for item in items:
            harm = allowed.get(item.number, UNHARMED)
            if item.likeness != likeness or not (route and self.fits(item, route)):
                if item.likeness == likeness and route is None and harm == UNHARMED:
                    failed.append(item)
                    continue
                likeness = item.likeness
                route = self._allowed_route(item, harm)
            if route is not None and route.harm <= harm:
                self.place(item, route)
            else:
                failed.append(item)
        return failed

    def _allowed_route(self, item: ItemNumbers, harm: Harm) -> Route | None:
        """The best route, looked for the quick way where it may not miss a window."""
        if item.locked or harm[0] or harm[2]:
            return self.route(item)
        route = self.harmless(item)
        return self.route(item) if route is None and harm > UNHARMED else route

    def fits(self, item: ItemNumbers, route: Route) -> bool:
        """Tell whether a route found for an item just like it still has time on all its days."""
        site = self._site(item.site)
        return all(outing.has_time(site, minutes) for outing, _, minutes in route.steps)

    def tidy(self) -> None:
        """Leave out the days on which nothing is done."""
        for outing in [each for each in self.outings if not each.members and not each.booked]:
            self.close(outing)
