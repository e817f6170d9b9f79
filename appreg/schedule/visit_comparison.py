"""What a plan is held against: going whenever something is due, and inspecting everything once a year."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.values.periods import Period
from appreg.schedule.day_grid import NEVER, DayGrid, Window
from appreg.schedule.due_dates import date_after
from appreg.schedule.plan_items import PlanItem
from appreg.schedule.plan_telling import VisitPlan
from appreg.schedule.plan_terms import PlanTerms

YEAR: Final = Period(months=12)


class VisitCost(Struct, frozen=True, kw_only=True):
    """What a way of going costs over the whole time."""

    visits: int
    minutes: int
    """Time on site."""
    inspections: int
    early: int
    """Inspections made before their due date."""
    late_items: int
    """Items that go overdue although a visit could have kept them in date."""


def cost_of(plan: VisitPlan) -> VisitCost:
    """What a plan costs."""
    return VisitCost(
        visits=len(plan.visits),
        minutes=plan.minutes,
        inspections=plan.inspections,
        early=plan.early,
        late_items=plan.late_items,
    )


class GoingWhenDue(Struct, frozen=True, kw_only=True):
    """Each inspection on the last allowed day that keeps the item in date, for its own sake alone."""

    cost: VisitCost
    days: Mapping[date, int]
    """By day on which one goes: the minutes of work."""


def going_when_due(items: Iterable[PlanItem], terms: PlanTerms) -> GoingWhenDue:
    """Go that way, and tell on which days and what it costs."""
    tally = _Tally(terms)
    for item in items:
        lines = [line for line in (item.visual, item.test) if line]
        windows = [tally.grid.first_window(line) for line in lines]
        dues = [line.due for line in lines]
        while windows and (day := min(window.last for window in windows)) != NEVER:
            # The test, where it is due, is the last of the lines and counts for both.
            made = max(place for place, window in enumerate(windows) if window.last == day)
            tally.inspect(day, lines[made].minutes, due=dues[made])
            for place in range(made + 1):
                windows[place] = tally.window_after(day, lines[place].period)
                dues[place] = date_after(tally.grid.days[day], lines[place].period)
    return GoingWhenDue(cost=tally.cost(), days=tally.by_day())


def cost_yearly(items: Iterable[PlanItem], terms: PlanTerms) -> VisitCost:
    """Everything inspected, and tested where a test is asked for, on the first allowed day and then once a year."""
    tally = _Tally(terms)
    days = _yearly_days(tally.grid.days, terms)
    for item in items:
        lines = [line for line in (item.visual, item.test) if line]
        if not lines:
            continue
        windows = [tally.grid.first_window(line) for line in lines]
        dues = [line.due for line in lines]
        late = False
        for day in days:
            late = late or any(window.last < day for window in windows)
            soonest = min((due for due in dues if due), default=None)
            tally.inspect(day, lines[-1].minutes, due=soonest if all(dues) else None)
            windows = [tally.window_after(day, line.period) for line in lines]
            dues = [date_after(tally.grid.days[day], line.period) for line in lines]
        tally.late_items += late or any(window.last != NEVER for window in windows)
    return tally.cost()


class _Tally:
    """Adds up inspections by day; a day longer than the working time counts as several visits."""

    def __init__(self, terms: PlanTerms) -> None:
        self.grid = DayGrid(start=terms.start, end=terms.end, days=tuple(terms.allowed), tolerance_percent=0)
        self._capacity = terms.capacity_minutes
        self._minutes: dict[int, int] = {}
        self._later: dict[Period, list[Window]] = {}
        self._inspections = 0
        self._early = 0
        self.late_items = 0

    def inspect(self, day: int, minutes: int, *, due: date | None) -> None:
        self._minutes[day] = self._minutes.get(day, 0) + minutes
        self._inspections += 1
        self._early += due is not None and self.grid.days[day] < due

    def window_after(self, day: int, period: Period) -> Window:
        if period not in self._later:
            self._later[period] = self.grid.later_windows(period)
        return self._later[period][day]

    def by_day(self) -> dict[date, int]:
        return {self.grid.days[day]: minutes for day, minutes in self._minutes.items()}

    def cost(self) -> VisitCost:
        capacity = self._capacity
        return VisitCost(
            visits=sum(-(-minutes // capacity) if capacity else 1 for minutes in self._minutes.values()),
            minutes=sum(self._minutes.values()),
            inspections=self._inspections,
            early=self._early,
            late_items=self.late_items,
        )


def _yearly_days(days: Sequence[date], terms: PlanTerms) -> list[int]:
    """The first allowed day on or after the start and each anniversary of it, as numbers."""
    chosen: list[int] = []
    anniversary = terms.start
    years = 0
    for number, day in enumerate(days):
        if day >= anniversary:
            chosen.append(number)
            while anniversary <= day:
                years += 1
                anniversary = date_after(terms.start, Period(months=YEAR.months * years))
    return chosen
