"""Betters the plans of areas: leaves days out and finds room for their work, moves days, swaps who is seen when.

A local search: a day is dropped, its items look for room elsewhere, and where some find none, other days are
emptied or moved to make it; what was often left over goes first. What does more harm than before is taken back.
"""

import random
from collections.abc import Callable, Sequence
from typing import Final

from appreg.schedule.crew_area_plan import DAY_OUT, UNHARMED, AreaPlan, Harm
from appreg.schedule.crew_board import ItemNumbers
from appreg.schedule.crew_building import day_to_open, insert
from appreg.schedule.crew_calendar import Outing
from appreg.schedule.crew_routes import Miss
from appreg.schedule.day_grid import NEVER

_TRIES: Final = 40
"""Ways tried to find room for what a dropped day leaves over."""
_NEAR: Final = 200
"""Days before and after a window in which another day out may be moved into it."""
_MOSTLY: Final = 0.7
"""Share of the tries that go to what promises most."""
_HALF: Final = 0.5
_HASTENED: Final = 0.1
"""Share of the tries that go to work that waits."""
_SOON: Final = 5
"""Days from which one is chosen for work that waits."""
_PRICES: Final = (0.0, 1.0, 5.0, 20.0)
"""What a minute of work may weigh against a day early."""


class AreaSearch:
    """The search in one area, which may take a day from another where something is late here."""

    def __init__(self, plans: Sequence[AreaPlan], number: int) -> None:
        self.plan = plans[number]
        self._others = [plan for plan in plans if plan is not self.plan]
        self._dice = random.Random(number)  # noqa: S311 - the same plan each time, nothing secret
        self._absent: dict[int, int] = {}
        self._is_settled = False

    def round(self, effort: int, bound: int) -> None:
        """Spend about so many routes; `bound` is the number of days out that it cannot go below.

        Where that is reached and a whole round brought nothing, no more is spent.
        """
        plan = self.plan
        before = plan.worth
        fewer = len(plan.outings) > bound
        if self._is_settled and not fewer and plan.harm == UNHARMED:
            return
        until = plan.effort + effort
        acts = 0
        # An act that finds nothing to do looks for no route: where all days are booked that is each of them.
        while plan.effort + acts < until and plan.outings:
            acts += 1
            plan.router.minute_price = self._dice.choice(_PRICES)
            way = self._dice.random()
            if any(plan.harm[:2]) and way < _MOSTLY / 4 and self._others:
                self._take_over()
            elif any(plan.harm[:2]) and way < _MOSTLY / 2:
                self._attempt(lambda: self._rescue(until))
            elif plan.harm[2] > DAY_OUT and way > 1 - _HASTENED:
                self._attempt(self._hasten)
            elif fewer and way < _MOSTLY:
                self._attempt(lambda: self._drop(until))
            elif self._dice.random() < _MOSTLY:
                self._attempt(self._move)
            else:
                self._attempt(self._mix)
        self._is_settled = plan.worth == before

    def _attempt(self, act: Callable[[], bool]) -> None:
        """Do something; keep it where it is whole and no worse."""
        plan = self.plan
        before = plan.worth
        mark = plan.mark()
        kept = act()
        if kept:
            plan.tidy()
        if not kept or plan.worth > before:
            plan.back_to(mark)
        else:
            plan.forget()

    def _loose(self) -> list[Outing]:
        return [outing for outing in self.plan.outings if not outing.booked]

    def _drop(self, until: int) -> bool:
        loose = self._loose()
        if not loose:
            return False
        # One of three at random, the emptiest: mostly the easy ones, sometimes any.
        dropped = min(self._dice.choices(loose, k=3), key=lambda outing: outing.work / max(1, outing.capacity))
        allowed = self.plan.patient_harms
        pool = self._emptied([dropped])
        self.plan.close(dropped)
        return self._housed(pool, allowed, until)

    def _housed(self, pool: list[ItemNumbers], allowed: dict[int, Harm], until: int, *, opening: bool = False) -> bool:
        """Give every item a route, with room made for it where there is none; tells whether that could be done."""
        pool = self.plan.settle(self._ordered(pool), allowed)
        tries = _TRIES
        while pool and tries and self.plan.effort < until:
            tries -= 1
            pool = self._made_room(pool, allowed)
            if opening and pool:
                pool = self._opened_for(pool, allowed)
        return not pool

    def _opened_for(self, pool: list[ItemNumbers], allowed: dict[int, Harm]) -> list[ItemNumbers]:
        wanting = pool[0]
        misses = self.plan.route(wanting).misses
        day = day_to_open(self.plan, wanting, self._dice.choice(misses)) if misses else None
        if day is None:
            return pool
        mark = self.plan.mark()
        self.plan.open(day)
        rest = self.plan.settle(pool, allowed)
        if len(rest) == len(pool):
            self.plan.back_to(mark)
        return rest

    def _take_over(self) -> None:
        """Take a day from another area for an item that is late or hasty; kept where both together are less so."""
        allowed = self.plan.harms
        chosen = self._dice.choice([number for number in sorted(allowed) if any(allowed[number][:2])])
        mine = self.plan.mark()
        before = self.plan.worth
        lifted = self.plan.lift([chosen])
        misses = self.plan.route(lifted[0]).misses
        found = self._day_elsewhere(lifted[0], self._dice.choice(misses)) if misses else None
        if found is None:
            self.plan.back_to(mine)
            return
        other, outing = found
        theirs, was = other.mark(), other.worth
        homeless = other.lift(sorted(outing.members))
        other.close(outing)
        self.plan.open(outing.day)
        del allowed[chosen]
        for item in self.plan.settle(lifted, allowed):
            insert(self.plan, item)
        self.plan.tidy()
        after = other.mark()
        for item in homeless:
            insert(other, item)
        other.tidy()
        harm = [one + both for one, both in zip(self.plan.worth[:2], other.worth[:2], strict=True)]
        if harm < [one + both for one, both in zip(before[:2], was[:2], strict=True)]:
            self.plan.forget()
            other.forget()
        else:
            # What was done last is taken back first: days that one gave up the other may have taken.
            other.back_to(after)
            self.plan.back_to(mine)
            other.back_to(theirs)
        self.plan.effort += len(homeless)

    def _day_elsewhere(self, item: ItemNumbers, miss: Miss) -> tuple[AreaPlan, Outing] | None:
        """A day out of another area that would meet a window here."""
        allowed = self.plan.days.sites[item.site].allowed
        found = [
            (other, outing)
            for other in self._others
            for outing in other.outings
            if miss.first <= outing.day <= miss.last and outing.day in allowed and not outing.booked
        ]
        return self._dice.choice(found) if found else None

    def _rescue(self, until: int) -> bool:
        """Let an item that is late be less so."""
        allowed = self.plan.harms
        late = sorted(number for number, harm in allowed.items() if harm[0])
        chosen = self._dice.choice(late or [number for number in sorted(allowed) if allowed[number][1]])
        was = allowed[chosen]
        allowed[chosen] = (was[0] - 1, NEVER, NEVER) if was[0] else (0, was[1] - 1, NEVER)
        lifted = self.plan.lift([chosen])
        return self._housed(lifted, allowed, until, opening=True)

    def _hasten(self) -> bool:
        """Go out once more so that work that waits is done sooner: the longest overdue and riskiest first."""
        allowed = self.plan.harms
        waiting = [number for number in sorted(allowed) if allowed[number][2]]
        chosen = self._dice.choice(waiting)
        now = self.plan.routes[chosen]
        item = self.plan.items[chosen]
        until = max((step.outing.day for step in now.steps[:1]), default=NEVER)
        days = [day for day in self._free_days(item.site) if item.deadline < day < until]
        if not days:
            return False
        self.plan.open(self._dice.choice(days[:_SOON]))
        lifted = self.plan.lift(waiting)
        self.plan.effort += len(waiting)
        return not self.plan.settle(sorted(lifted, key=lambda each: (*each.urgency, each.likeness)), allowed)

    def _made_room(self, pool: list[ItemNumbers], allowed: dict[int, Harm]) -> list[ItemNumbers]:
        """Try one way of finding room for items without a route; returns those that are still without."""
        for item in pool:
            self._absent[item.number] = self._absent.get(item.number, 0) + 1
        mark = self.plan.mark()
        wanting = self._dice.choice(pool)
        route = self.plan.route(wanting)
        if not route.misses:
            return self.plan.settle(pool, allowed)
        miss = self._dice.choice(route.misses)
        first, last = miss.first, miss.last
        if self._dice.random() < _HALF:
            lifted = self._moved_into(wanting, first, last)
        else:
            within = [each for each in self.plan.outings if first <= each.day <= last]
            lifted = self._emptied(self._dice.sample(within, min(len(within), self._dice.choice((1, 1, 2)))))
        rest = self.plan.settle(self._ordered([*pool, *lifted]), allowed)
        if self._weight(rest) > self._weight(pool):
            self.plan.back_to(mark)
            return pool
        return rest

    def _weight(self, pool: Sequence[ItemNumbers]) -> int:
        return sum(self._absent.get(item.number, 1) for item in pool)

    def _emptied(self, outings: Sequence[Outing]) -> list[ItemNumbers]:
        return self.plan.lift(sorted({number for outing in outings for number in outing.members}))

    def _moved_into(self, wanting: ItemNumbers, first: int, last: int) -> list[ItemNumbers]:
        """Move a day out from nearby into a window; returns the items that were on it."""
        near = [each for each in self._loose() if first - _NEAR <= each.day <= last + _NEAR]
        days = [day for day in self._free_days(wanting.site) if first <= day <= last]
        if not near or not days:
            return []
        outing = self._dice.choice(near)
        lifted = self._emptied([outing])
        self.plan.close(outing)
        self.plan.open(self._chosen_day(days))
        return lifted

    def _free_days(self, site: int) -> list[int]:
        days = self.plan.days
        return [day for day in days.sites[site].grid.ordinals if days.calendar.is_free(day)]

    def _chosen_day(self, days: Sequence[int]) -> int:
        """A day at random, of several the one with the largest free crew."""
        return max(self._dice.choices(days, k=3), key=self.plan.days.calendar.offers)

    def _ordered(self, items: list[ItemNumbers]) -> list[ItemNumbers]:
        """In one of several orders: often absent, long, pressing first, or any; those alike stay together."""
        keys: dict[int, tuple[float, ...]] = {}
        way = self._dice.randrange(4)
        for item in items:
            if item.likeness not in keys:
                keys[item.likeness] = (self._rank(item, way), self._dice.random())
        return sorted(items, key=lambda item: keys[item.likeness])

    def _rank(self, item: ItemNumbers, way: int) -> float:
        if way == 0:
            return -self._absent.get(item.number, 0)
        if way == 1:
            return -max(item.visual.minutes, item.test.minutes)
        return item.deadline if way == 2 else 0.0  # noqa: PLR2004 - the ways by number

    def _move(self) -> bool:
        """Move a day out to another day between its neighbours."""
        loose = self._loose()
        if not loose:
            return False
        outing = self._dice.choice(loose)
        site = self._dice.choice(list(outing.counts) or list(self.plan.days.sites))
        days = [day for day in self._free_days(site) if abs(day - outing.day) <= self._dice.choice((3, 20, _NEAR))]
        if not days:
            return False
        allowed = self.plan.harms
        lifted = self._emptied([outing])
        self.plan.close(outing)
        self.plan.open(self._chosen_day(days))
        return not self.plan.settle(self._ordered(lifted), allowed)

    def _mix(self) -> bool:
        """Let the items of two days look for their places again."""
        outings = self.plan.outings
        allowed = self.plan.harms
        chosen = self._dice.sample(outings, min(2, len(outings)))
        return not self.plan.settle(self._ordered(self._emptied(chosen)), allowed)
