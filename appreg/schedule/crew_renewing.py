"""Plans whole areas anew, one or a few at a time, each on days that suit it of those that the others leave free."""

import random
from collections.abc import Callable, Sequence
from typing import Final

from appreg.schedule.crew_area_plan import AreaPlan
from appreg.schedule.crew_building import fill
from appreg.schedule.crew_calendar import Calendar

_TOGETHER: Final = (1, 1, 2, 2, 3)
"""How many areas are planned anew at once: two may change days."""
_MOSTLY: Final = 0.7
"""Share of the tries that go to what promises most."""
_KEPT: Final = (1.0, 0.8, 0.5)
"""Shares of the free days that are offered: with fewer, other plans are found."""


def thin(plan: AreaPlan) -> None:
    """Leave out days, the emptiest first, whose work the others have time for where that does no more harm."""
    for outing in sorted(plan.outings, key=lambda each: (each.work, each.day)):
        if outing.booked or not outing.members or outing not in plan.outings:
            continue
        before, mark = plan.worth, plan.mark()
        allowed = plan.patient_harms
        pool = plan.lift(sorted(outing.members))
        plan.close(outing)
        pool.sort(key=lambda item: (*item.urgency, item.likeness))
        failed = plan.settle(pool, allowed)
        # What was lifted was on other days as well, and may have been all that was done there.
        plan.tidy()
        if failed or plan.worth > before:
            plan.back_to(mark)


class Renewal:
    """Takes areas out of the plan, puts them in again in another order, and keeps what is better."""

    def __init__(self, plans: Sequence[AreaPlan], bounds: Sequence[int], seed: int) -> None:
        self._plans = plans
        self._bounds = bounds
        self._dice = random.Random(seed)  # noqa: S311 - the same plan each time, nothing secret

    def round(self, effort: int) -> None:
        """Spend about so many routes."""
        while effort > 0:
            wanting = [at for at, plan in enumerate(self._plans) if self._wants(at, plan)]
            if not wanting:
                return
            late = [at for at in wanting if any(self._plans[at].harm[:2])]
            if late and self._dice.random() < _MOSTLY:
                wanting = late
            effort -= self._renew(self._chosen(wanting))

    def _wants(self, at: int, plan: AreaPlan) -> bool:
        return any(plan.harm) or len(plan.outings) > self._bounds[at]

    def _chosen(self, wanting: Sequence[int]) -> list[AreaPlan]:
        """Some areas, in any order: first one that could be better, then mostly others that could."""
        first = self._dice.choice(wanting)
        others = [at for at in (wanting if self._dice.random() < _MOSTLY else range(len(self._plans))) if at != first]
        more = self._dice.sample(others, min(len(others), self._dice.choice(_TOGETHER) - 1))
        chosen = [self._plans[at] for at in (first, *more)]
        self._dice.shuffle(chosen)
        return chosen

    def _renew(self, plans: Sequence[AreaPlan]) -> int:
        """Plan areas anew, one after the other; returns the routes that it took."""
        before = _worth(plans)
        spent = sum(plan.effort for plan in plans)
        marks: list[tuple[AreaPlan, int]] = []
        for plan in plans:
            marks.append((plan, plan.mark()))
            plan.lift(sorted(plan.items))
            plan.tidy()
        for plan in plans:
            marks.append((plan, plan.mark()))
            fill(plan, self._offered(plan.days.calendar))
            thin(plan)
        if _worth(plans) < before:
            for plan in plans:
                plan.forget()
        else:
            # What was done last is taken back first: days that one gave up the other may have taken.
            for plan, mark in reversed(marks):
                plan.back_to(mark)
        return sum(plan.effort for plan in plans) - spent + len(plans)

    def _offered(self, calendar: Calendar) -> Callable[[int], bool]:
        """Which free days are offered: of the crews that can do most, or of any, all or some."""
        free = self._dice.choice((calendar.is_free, calendar.has_large))
        kept, salt = self._dice.choice(_KEPT), self._dice.randrange(1 << 20)
        return lambda day: free(day) and (day * 2_654_435_761 + salt * 40_503) % 1_000 < kept * 1_000


def _worth(plans: Sequence[AreaPlan]) -> list[int]:
    return [sum(part) for part in zip(*(plan.worth for plan in plans), strict=True)]
