"""The inspections of one item through days out that have time for them: least late, then least early.

Exact for one item and the time that is left on each day: a shortest path over what was done last.
"""

from bisect import bisect_left, bisect_right
from typing import Final, NamedTuple

from appreg.schedule.crew_board import SHARES, ItemNumbers, LineNumbers, Span
from appreg.schedule.crew_calendar import AreaDays, Outing
from appreg.schedule.crew_quick_routes import HASTY, JOINED, UNPREFERRED, QuickPath
from appreg.schedule.day_grid import NEVER
from appreg.schedule.plan_items import LineKind

LATE: Final = 1e12
"""Puts days late before days outside the tolerance; those come before sites joined, and days early last."""
_EARLY: Final = 1.0


class RouteStep(NamedTuple):
    """One inspection on a day out."""

    outing: Outing
    kind: LineKind
    minutes: int


class Miss(NamedTuple):
    """A window in which no day out has time."""

    first: int
    """Of a test it may lie before `since`: a test that is made then takes the place of what was only looked at."""
    last: int
    since: int
    """Ordinal of the inspection before it; 0: the plan has made none."""
    is_met: bool = False
    """A day out in it has time, but one after which the next inspection can only be made before its tolerance."""


class Route(NamedTuple):
    """What happens to one item over the whole plan."""

    steps: tuple[RouteStep, ...]
    late: int
    """Inspections that are late and need not be, and whole quarters of its interval that any is late."""
    hasty: int
    """Days before the tolerance for want of time in the window."""
    waiting: int
    """Squares of days late, by weight, what was overdue before the plan included; undone counts to the horizon."""
    early: int
    misses: tuple["Miss", ...]
    """The windows in which no day out has time, in order; then those that would have a better day."""
    forced: int = 0
    """Days before the tolerance because no day within it was open after the inspection before."""

    @property
    def harm(self) -> tuple[int, int, int]:
        """What is wrong with it: what need not be late first, then what is hasty, then how long work waits."""
        return self.late, self.hasty + self.forced, self.waiting

    @property
    def meets_windows(self) -> bool:
        """Nothing is outside its window, whether or not that lies within the tolerance."""
        return not (self.late or self.hasty or self.waiting)


class _Choice(NamedTuple):
    """What is best from one standing on."""

    cost: float
    step: RouteStep | None
    following: "_Standing | None"
    late: "_Lateness"
    hasty: int
    early: int
    missed: Span | None
    forced: int = 0


_Standing = tuple[int, int]
"""Ordinals of the last visual inspection and the last test; 0: the plan has made none."""


class _Lateness(NamedTuple):
    """How late an inspection is."""

    steps: int
    waiting: int

    def with_that_of(self, other: "_Lateness") -> "_Lateness":
        return _Lateness(self.steps + other.steps, self.waiting + other.waiting)


_IN_TIME: Final = _Lateness(0, 0)
_ENDED: Final = _Choice(0.0, None, None, _IN_TIME, 0, 0, None)


class Router:
    """Finds routes through the days out of one area."""

    def __init__(self, days: AreaDays) -> None:
        self._days = days
        self._sites = days.sites
        self.minute_price = 1.0
        """What a minute of work weighs against a day early."""

    def route(self, item: ItemNumbers) -> Route:
        """The best route there is now; nothing is placed."""
        return _Path(self, item, self._days).route()

    def harmless(self, item: ItemNumbers) -> Route | None:
        """The best route that meets every window; None: there is none. Not for items with promised days."""
        legs = QuickPath(self._days, item, self.minute_price).legs()
        if legs is None:
            return None
        steps = []
        early = forced = 0
        looked = tested = 0
        visual, test = item.visual.first, item.test.first
        for outing, kind in legs:
            is_test = kind is LineKind.TEST
            line = item.test if is_test else item.visual
            steps.append(RouteStep(outing, kind, line.minutes))
            early += (test if is_test else visual)[1] - outing.day
            forced += line.after.hasty.get(tested if is_test else looked, 0)
            looked = outing.day
            visual = item.visual.after[looked]
            if is_test:
                tested, test = looked, item.test.after[looked]
        return Route(tuple(steps), 0, 0, 0, early, (), forced)


class _Path:
    """One search for one item."""

    __slots__ = ("_beyond", "_days", "_item", "_known", "_price", "_rounds", "_site", "_sites")

    def __init__(self, router: Router, item: ItemNumbers, days: AreaDays) -> None:
        self._item = item
        self._site = days.sites[item.site]
        self._days = days.days[item.site]
        self._rounds = days.rounds[item.site]
        self._beyond = days.board.beyond
        self._price = router.minute_price
        self._known: dict[_Standing, _Choice] = {}

    def route(self) -> Route:
        choice = self._best((0, 0))
        standing: _Standing = (0, 0)
        steps: list[RouteStep] = []
        late, hasty, early, forced = choice.late, choice.hasty, choice.early, 0
        misses = [Miss(*choice.missed, 0)] if choice.missed else []
        better: list[Miss] = []
        chances: dict[int, Miss] = {}
        while choice.step is not None and choice.following is not None:
            steps.append(choice.step)
            chance = Miss(*_missed(standing, *self._windows(standing)), max(standing), is_met=True)
            standing = choice.following
            chances[max(standing)] = chance
            choice = self._known[standing]
            if choice.missed:
                misses.append(Miss(*choice.missed, max(standing)))
            if choice.forced and choice.step:
                better.append(chances[standing[choice.step.kind is LineKind.TEST]])
            late = late.with_that_of(choice.late)
            hasty, early, forced = hasty + choice.hasty, early + choice.early, forced + choice.forced
        return Route(tuple(steps), late.steps, hasty, late.waiting, early, (*misses, *better), forced)

    def _best(self, standing: _Standing) -> _Choice:
        known = self._known.get(standing)
        if known is None:
            known = self._known[standing] = self._chosen(standing)
        return known

    def _windows(self, standing: _Standing) -> tuple[Span, Span]:
        item = self._item
        return (
            item.visual.after[standing[0]] if standing[0] else item.visual.first,
            item.test.after[standing[1]] if standing[1] else item.test.first,
        )

    def _chosen(self, standing: _Standing) -> _Choice:
        visual, test = self._windows(standing)
        done = max(standing)
        deadline = min(visual[1], test[1])
        lock = next((day for day in self._item.locked if day > done), NEVER)
        if deadline == NEVER and lock == NEVER:
            return _ENDED
        best = self._in_window(standing, visual, test, min(deadline, lock))
        if best is None and lock <= deadline:
            best = self._locked(standing, visual, test, lock)
        if best is None:
            best = self._amiss(standing, visual, test, min(lock, self._beyond))
        return best

    def _in_window(self, standing: _Standing, visual: Span, test: Span, until: int) -> _Choice | None:
        days, rounds, site = self._days, self._rounds, self._site
        looked, tested = self._item.visual.minutes, self._item.test.minutes
        best: _Choice | None = None
        first = bisect_left(days, max(max(standing) + 1, min(visual[0], test[0])))
        for place in range(first, bisect_right(days, until)):
            outing, day = rounds[place], days[place]
            if test[0] <= day and outing.has_time(site, tested):
                step = RouteStep(outing, LineKind.TEST, tested)
                best = self._better(best, step, (day, day), test[1] - day, self._forced(LineKind.TEST, standing))
            if visual[0] <= day < test[1] and outing.has_time(site, looked):
                step = RouteStep(outing, LineKind.VISUAL, looked)
                forced = self._forced(LineKind.VISUAL, standing)
                best = self._better(best, step, (day, standing[1]), visual[1] - day, forced)
        return best

    def _forced(self, kind: LineKind, standing: _Standing) -> int:
        return self._line(kind).after.hasty.get(standing[kind is LineKind.TEST], 0)

    def _better(self, best: _Choice | None, step: RouteStep, following: _Standing, early: int, forced: int) -> _Choice:
        cost = self._best(following).cost + early * _EARLY + step.minutes * self._price + 1 + self._coming(step.outing)
        cost += forced * HASTY
        if best is None or cost < best.cost:
            return _Choice(cost, step, following, _IN_TIME, 0, early, None, forced)
        return best

    def _coming(self, outing: Outing) -> float:
        """What it takes that the crew comes to this site on that day."""
        if self._site.number in outing.counts:
            return 0.0
        return JOINED + (0.0 if outing.day in self._site.preferred else UNPREFERRED)

    def _locked(self, standing: _Standing, visual: Span, test: Span, lock: int) -> _Choice | None:
        """The inspection that is promised, whether or not it is due."""
        place = bisect_left(self._days, lock)
        while place < len(self._days) and self._days[place] == lock:
            outing = self._rounds[place]
            if self._site.number in outing.booked:
                return self._made(standing, visual, test, outing, 0)
            place += 1
        return None

    def _amiss(self, standing: _Standing, visual: Span, test: Span, until: int) -> _Choice:
        """Where no day in the window has time: the nearest before it, or the first after it, or never."""
        deadline = min(visual[1], test[1])
        begins = min(visual[0], test[0])
        first = bisect_left(self._days, max(max(standing) + 1, begins))
        tried = [self._undone(visual, test, _missed(standing, visual, test))]
        for place in range(first - 1, bisect_right(self._days, max(standing)) - 1, -1):
            if self._has_time(self._rounds[place], visual, test):
                tried.append(self._made(standing, visual, test, self._rounds[place], begins - self._days[place]))
                break
        for place in range(bisect_right(self._days, min(deadline, until)), bisect_right(self._days, until)):
            if self._days[place] > max(standing) and self._has_time(self._rounds[place], visual, test):
                tried.append(self._made(standing, visual, test, self._rounds[place], 0))
                break
        return min(tried, key=lambda choice: choice.cost)

    def _has_time(self, outing: Outing, visual: Span, test: Span) -> bool:
        return outing.has_time(self._site, self._line(self._kind(visual, test, outing.day)).minutes)

    def _line(self, kind: LineKind) -> LineNumbers:
        return self._item.test if kind is LineKind.TEST else self._item.visual

    def _kind(self, visual: Span, test: Span, day: int) -> LineKind:
        """A test where one is due first or may be made; a visual inspection otherwise, and where no test is asked for."""
        if self._item.item.test is None:
            return LineKind.VISUAL
        tests = test[1] != NEVER and (test[1] <= max(day, visual[1]) or test[0] <= day)
        return LineKind.TEST if tests or visual[1] == NEVER else LineKind.VISUAL

    def _made(self, standing: _Standing, visual: Span, test: Span, outing: Outing, hasty: int) -> _Choice:
        """An inspection outside its window."""
        kind, day = self._kind(visual, test, outing.day), outing.day
        hasty += self._forced(kind, standing) if hasty else 0
        late = self._late(self._item.visual, visual, standing[0], day)
        if kind is LineKind.TEST:
            late = late.with_that_of(self._late(self._item.test, test, standing[1], day))
        following = (day, day) if kind is LineKind.TEST else (day, standing[1])
        early = max(0, (test if kind is LineKind.TEST else visual)[1] - day)
        step = RouteStep(outing, kind, self._line(kind).minutes)
        cost = self._best(following).cost + late.waiting * LATE + hasty * HASTY + early * _EARLY + self._coming(outing)
        missed = _missed(standing, visual, test) if late.waiting or hasty else None
        return _Choice(cost, step, following, late, hasty, early if early < NEVER >> 1 else 0, missed)

    def _undone(self, visual: Span, test: Span, span: Span) -> _Choice:
        late = self._late(self._item.visual, visual, 0, self._beyond)
        late = late.with_that_of(self._late(self._item.test, test, 0, self._beyond))
        return _Choice(late.waiting * LATE, None, None, late, 0, 0, span)

    def _late(self, line: LineNumbers, window: Span, done: int, day: int) -> _Lateness:
        """What a later day brings, days squared: what was overdue longest counts most."""
        last = window[1]
        if last >= day:
            return _IN_TIME
        is_first = not done and window is line.first
        due = min(line.due, last) if is_first else last
        # A quarter of an interval is a step: a few days more or less of lateness are worth no day out.
        needless = not (is_first and line.is_backlog)
        steps = needless + 4 * (day - last) * line.weight // SHARES
        return _Lateness(steps, line.weight * ((day - due) ** 2 - (last - due) ** 2))


def _missed(standing: _Standing, visual: Span, test: Span) -> Span:
    """The window that comes to its end first, as far as a day out in it could help."""
    if test[1] <= visual[1]:
        return min(visual[0], test[0]), test[1]
    return max(max(standing) + 1, min(visual[0], test[0])), visual[1]
