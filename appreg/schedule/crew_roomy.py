"""The days out of an area if a day were as long as one likes: good to begin with, and a bound on those with hours."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from typing import Final, NamedTuple

from msgspec.structs import replace

from appreg.schedule.crew_area_plan import AreaPlan
from appreg.schedule.crew_board import Area, ItemNumbers, LineNumbers, Span
from appreg.schedule.crew_routes import Route
from appreg.schedule.day_grid import NEVER, NOTHING_DUE, DayGrid, Window
from appreg.schedule.option_states import PlanBoard
from appreg.schedule.plan_items import LineKind, PlanItem
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
    if grid is None or not opens_only(plan):
        return 0
    waited = {item.item.key: _waited(plan.routes[number], item, grid) for number, item in plan.items.items()}
    items = [item.item for item in plan.area.items if waited[item.item.key] is not None]
    return _found(items, grid, {key: windows for key, windows in waited.items() if windows}).bound


def opens_only(plan: AreaPlan) -> bool:
    """Tell whether all its days out are days on which the sites let a crew in: a promised one need not be."""
    return all(outing.day in plan.days.sites[number].allowed for outing in plan.outings for number in outing.booked)


def _found(
    items: Sequence[PlanItem], grid: DayGrid, firsts: Mapping[str, tuple[Window, Window]] | None = None
) -> Roomy:
    found = find_visits(PlanBoard(items, grid, firsts), _EFFORT)
    return Roomy(tuple(grid.ordinals[day] for day in found.plans[0]), found.bound)


def _shared_grid(area: Area) -> DayGrid | None:
    """The days of all its sites; None where they are not the same."""
    grid = area.sites[0].grid
    return grid if all(site.grid.ordinals == grid.ordinals for site in area.sites) else None


def _waited(route: Route, item: ItemNumbers, grid: DayGrid) -> tuple[Window, Window] | None:
    """An item's first windows, as long as it waits in the plan; None where it is early, or late more than once."""
    if item.locked or route.hasty:
        return None
    looks = [step.outing.day for step in route.steps]
    tests = [step.outing.day for step in route.steps if step.kind is LineKind.TEST]
    if _is_late_again(item.visual, looks) or _is_late_again(item.test, tests):
        return None
    return _stretched(item.visual.first, looks, grid), _stretched(item.test.first, tests, grid)


def _is_late_again(line: LineNumbers, made: Sequence[int]) -> bool:
    last = line.first[1]
    for at, day in enumerate(made):
        if at and day > last:
            return True
        last = line.after[day][1]
    return last != NEVER and (bool(made) or line.first[1] != NEVER)


def _stretched(first: Span, made: Sequence[int], grid: DayGrid) -> Window:
    if first[1] == NEVER:
        return NOTHING_DUE
    return Window(bisect_left(grid.ordinals, first[0]), bisect_right(grid.ordinals, max(first[1], made[0])) - 1)
