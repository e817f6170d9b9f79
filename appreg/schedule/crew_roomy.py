"""The days out of an area if a day were as long as one likes: good to begin with, and a bound on those with hours."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Final, NamedTuple

from msgspec.structs import replace

from appreg.schedule.crew_area_plan import UNHARMED, AreaPlan
from appreg.schedule.crew_board import Area, ItemNumbers, LineNumbers
from appreg.schedule.crew_routes import Route
from appreg.schedule.day_grid import NEVER, DayGrid
from appreg.schedule.option_states import PlanBoard
from appreg.schedule.plan_items import LineKind, PlanItem, PlanLine, tolerance_days
from appreg.schedule.visit_search import find_visits

_EFFORT: Final = 20_000
"""Effort for the days of one area."""


class Roomy(NamedTuple):
    """The days of an area; none where its sites are open on unlike days."""

    days: Sequence[int]
    """As ordinals."""
    bound: int
    """No plan that meets every window has fewer days out."""


NOTHING_KNOWN: Final = Roomy((), 0)


def roomy(area: Area, is_open: Callable[[int], bool] | None = None) -> Roomy:
    """The fewest days for all items of an area, on those of its days that are open."""
    grid = _shared_grid(area)
    if grid is None:
        return NOTHING_KNOWN
    if is_open is not None:
        days = tuple(day for day, ordinal in zip(grid.days, grid.ordinals, strict=True) if is_open(ordinal))
        grid = replace(grid, days=days)
    return _found([item.item for item in area.items], grid)


def roomy_bound(plan: AreaPlan) -> int:
    """No plan of the area in which nothing goes later than in this one has fewer days out, as far as windows tell."""
    grid = _shared_grid(plan.area)
    if grid is None or any(outing.booked and outing.day not in set(grid.ordinals) for outing in plan.outings):
        return 0
    items = (_as_late(plan, item, grid) for item in plan.items.values())
    return _found([item for item in items if item], grid).bound


def _found(items: Sequence[PlanItem], grid: DayGrid) -> Roomy:
    found = find_visits(PlanBoard(items, grid), _EFFORT)
    return Roomy(tuple(grid.ordinals[day] for day in found.plans[0]), found.bound)


def _shared_grid(area: Area) -> DayGrid | None:
    """The days of all its sites; None where they are not the same."""
    grid = area.sites[0].grid
    return grid if all(site.grid.ordinals == grid.ordinals for site in area.sites) else None


def _as_late(plan: AreaPlan, item: ItemNumbers, grid: DayGrid) -> PlanItem | None:
    """An item that may wait as long as it does in the plan; None where no due date says that."""
    route = plan.routes[item.number]
    if item.locked or route.hasty:
        return None
    if route.harm == UNHARMED:
        return item.item
    visual = _waited(item.visual, item.item.visual, [step.outing.day for step in route.steps], grid)
    test = _waited(item.test, item.item.test, _tests(route), grid)
    if test is None and item.item.test is not None:
        # Without its tests it would have to be looked at on days on which a test makes that needless.
        return None
    return PlanItem(key=item.item.key, visual=visual, test=test)


def _tests(route: Route) -> list[int]:
    return [step.outing.day for step in route.steps if step.kind is LineKind.TEST]


def _waited(line: LineNumbers, kept: PlanLine | None, made: Sequence[int], grid: DayGrid) -> PlanLine | None:
    """The line, due when the plan first meets it; None where that says more than the plan, or it is late again."""
    last = line.first[1]
    if kept is None or last == NEVER:
        return kept
    for day in made:
        if day > last and day != made[0]:
            return None
        last = line.after[day][1]
    if last != NEVER or not made:
        return None
    if made[0] <= line.first[1]:
        return kept
    begins = made[0] - tolerance_days(kept.period, grid.tolerance_percent)
    return replace(kept, due=date.fromordinal(made[0])) if begins <= line.first[0] else None
