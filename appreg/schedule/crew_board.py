"""What is to be planned for crews, in numbers: days as ordinals, items with their windows, sites by area.

An area is what shares days out: the sites of one district, or one site that is in none.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from msgspec import Struct, field

from appreg.core.values.periods import Period
from appreg.schedule.crew_terms import CrewTerms, FixedVisit, PlanSite
from appreg.schedule.day_grid import NEVER, DayGrid, Window
from appreg.schedule.plan_items import PlanItem, PlanLine

Span = tuple[int, int]
"""First and last day, as ordinals, on which an inspection is best made; NEVER where none is due."""

NOTHING: Final[Span] = (NEVER, NEVER)
SHARES: Final = 3650
"""Days over which a day late weighs 1; an item with a shorter interval is at greater risk, and weighs more."""


class WindowsAfter(dict[int, Span]):
    """By the ordinal of an inspection: the window of the next; worked out when first asked for."""

    def __init__(self, grid: DayGrid, period: Period | None) -> None:
        super().__init__()
        self._grid = grid
        self._period = period
        self.hasty: dict[int, int] = {}
        """By the ordinals in here after which no day within the tolerance is open: the days before it that are lost."""

    def __missing__(self, done: int) -> Span:
        span = NOTHING
        if self._period is not None:
            span = spanned(self._grid, self._grid.window_after(date.fromordinal(done), self._period))
            if span[0] == span[1] and (hasty := self._grid.hasty_days(date.fromordinal(done), self._period)):
                self.hasty[done] = hasty
        self[done] = span
        return span


def spanned(grid: DayGrid, window: Window) -> Span:
    """A window of numbered days as ordinals."""
    return NOTHING if window.last == NEVER else (grid.ordinals[window.first], grid.ordinals[window.last])


class LineNumbers(Struct, frozen=True, kw_only=True):
    """One line of an item in numbers."""

    first: Span
    after: WindowsAfter
    minutes: int
    weight: int
    """How much a day late counts."""
    due: int
    """Ordinal of its own due date; where it was never inspected, as though it had been overdue for a whole interval."""

    @property
    def is_backlog(self) -> bool:
        """It is overdue by the first day on which anybody can come, whatever the plan."""
        return self.first != NOTHING and self.due < self.first[0]


class ItemNumbers(Struct, frozen=True, kw_only=True):
    """One item in numbers."""

    number: int
    site: int
    item: PlanItem
    visual: LineNumbers
    test: LineNumbers
    likeness: int
    """The same for items that behave alike in everything."""
    locked: tuple[int, ...] = ()
    """Ordinals of booked days on which it is inspected, due or not."""

    @property
    def is_backlog(self) -> bool:
        """Something on it is overdue by the first day on which anybody can come."""
        return self.visual.is_backlog or self.test.is_backlog

    @property
    def deadline(self) -> int:
        """The last day of its next inspection."""
        return min(self.visual.first[1], self.test.first[1])

    @property
    def urgency(self) -> tuple[int, int]:
        """What is to be done first: the deadline, then how long and how riskily it is overdue by then."""
        weights = [
            line.weight * (line.first[1] - line.due) ** 2
            for line in (self.visual, self.test)
            if line.first[1] != NEVER and line.first[1] > line.due
        ]
        return self.deadline, -max(weights, default=0)


class SiteNumbers(Struct, kw_only=True):
    """One site in numbers."""

    number: int
    site: PlanSite
    grid: DayGrid
    allowed: frozenset[int]
    preferred: frozenset[int]
    items: list[ItemNumbers] = field(default_factory=list)


class Area(Struct, frozen=True, kw_only=True):
    """Sites that share days out."""

    sites: tuple[SiteNumbers, ...]
    within: int
    """Minutes from one of its sites to the next."""

    @property
    def items(self) -> list[ItemNumbers]:
        """All items of its sites on which something falls due, the most urgent first; of those without a day too."""
        return sorted(
            (item for site in self.sites for item in site.items), key=lambda each: (*each.urgency, each.likeness)
        )


class CrewBoard:
    """The sites of a plan by area, all in numbers."""

    def __init__(self, sites: Iterable[PlanSite], terms: CrewTerms) -> None:
        self.terms = terms
        self.start: Final = terms.start.toordinal()
        self.beyond: Final = terms.end.toordinal() + 1
        self._working = {day for crew in terms.crews for day in crew.minutes if crew.capacity(day) > 0}
        self._likeness: dict[tuple[object, ...], int] = {}
        self._items = 0
        self.sites: Sequence[SiteNumbers] = [self._numbered(number, site) for number, site in enumerate(sites)]
        self.areas: Sequence[Area] = self._areas()

    def _numbered(self, number: int, site: PlanSite) -> SiteNumbers:
        terms = self.terms
        days = tuple(day for day in site.allowed if day in self._working and terms.start <= day <= terms.end)
        grid = DayGrid(start=terms.start, end=terms.end, days=days, tolerance_percent=terms.tolerance_percent)
        preferred = {day.toordinal() for day in days if day in site.preferred} if site.preferred else set(grid.ordinals)
        numbered = SiteNumbers(
            number=number, site=site, grid=grid, allowed=frozenset(grid.ordinals), preferred=frozenset(preferred)
        )
        booked = [each for each in terms.booked if each.site == site.key]
        windows: dict[Period | None, WindowsAfter] = {}
        for item in site.items:
            found = self._item(numbered, item, booked, windows)
            lacking = any(grid.has_no_day_for(line.due) for line in item.lines.values())
            if found.deadline != NEVER or found.locked or lacking:
                numbered.items.append(found)
        return numbered

    def _item(
        self,
        site: SiteNumbers,
        item: PlanItem,
        booked: Sequence[FixedVisit],
        windows: dict[Period | None, WindowsAfter],
    ) -> ItemNumbers:
        visual, test = (self._line(site.grid, line, windows) for line in (item.visual, item.test))
        locked = tuple(sorted({each.day.toordinal() for each in booked if each.items and item.key in each.items}))
        periods = tuple(line.period if line else None for line in (item.visual, item.test))
        numbers = tuple(part for line in (visual, test) for part in (line.first, line.minutes, line.due))
        alike = self._likeness.setdefault((site.number, periods, numbers, locked), len(self._likeness))
        self._items += 1
        return ItemNumbers(
            number=self._items - 1,
            site=site.number,
            item=item,
            visual=visual,
            test=test,
            likeness=alike,
            locked=locked,
        )

    def _line(self, grid: DayGrid, line: PlanLine | None, windows: dict[Period | None, WindowsAfter]) -> LineNumbers:
        period = line.period if line else None
        if period not in windows:
            windows[period] = WindowsAfter(grid, period)
        if line is None:
            return LineNumbers(first=NOTHING, after=windows[period], minutes=0, weight=0, due=NEVER)
        days = max(1, line.period.mean_days_times(100) // 100)
        return LineNumbers(
            first=spanned(grid, grid.first_window(line)),
            after=windows[period],
            minutes=line.minutes,
            weight=max(1, SHARES // days),
            due=line.due.toordinal() if line.due else self.start - days,
        )

    def _areas(self) -> list[Area]:
        by_district: dict[str | int, list[SiteNumbers]] = {}
        for site in self.sites:
            by_district.setdefault(site.site.district or site.number, []).append(site)
        within = self.terms.within_district
        return [
            Area(sites=tuple(sites), within=within.get(name, 0) if isinstance(name, str) else 0)
            for name, sites in by_district.items()
        ]
