"""A plan by crews as people read it, made from every item's route."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from appreg.schedule.crew_area_plan import AreaPlan
from appreg.schedule.crew_board import CrewBoard, ItemNumbers, LineNumbers
from appreg.schedule.crew_calendar import Outing
from appreg.schedule.crew_plans import CrewPlan, DayOut, SiteVisit
from appreg.schedule.crew_routes import Route
from appreg.schedule.day_grid import NEVER
from appreg.schedule.due_dates import date_after
from appreg.schedule.plan_items import LeftOverdue, LineKind, PlannedInspection, tolerance_days


class CrewBounds(NamedTuple):
    """What no plan goes below."""

    days_out: int
    visits: dict[str, int]
    """By key of the site."""


_Work = dict[tuple[int, int], list[PlannedInspection]]
"""By identity of the outing and number of the site."""


def told(board: CrewBoard, plans: Sequence[AreaPlan], bounds: CrewBounds, *, is_whole: bool) -> CrewPlan:
    """The plan of all areas together."""
    work: _Work = {}
    left: dict[str, tuple[LeftOverdue, ...]] = {}
    for plan in plans:
        for number in sorted(plan.routes):
            site = plan.days.sites[plan.items[number].site].site.key
            undone = _told_route(plan, plan.items[number], plan.routes[number], work)
            if undone:
                left[site] = (*left.get(site, ()), *undone)
    days_out = [_day_out(board, plan, outing, work) for plan in plans for outing in plan.outings]
    return CrewPlan(
        days_out=tuple(sorted(days_out, key=lambda out: (out.day, out.crew))),
        left=left,
        bound=bounds.days_out,
        site_bounds=bounds.visits,
        is_whole=is_whole,
    )


def _told_route(plan: AreaPlan, numbers: ItemNumbers, route: Route, work: _Work) -> list[LeftOverdue]:
    """Note the inspections of one item with its own due dates; returns what stays overdue at the end."""
    item = numbers.item
    lines = item.lines
    grid = plan.days.sites[numbers.site].grid
    due = {kind: line.due for kind, line in lines.items()}
    told_of: dict[LineKind, LineNumbers] = {LineKind.VISUAL: numbers.visual, LineKind.TEST: numbers.test}
    last = {kind: line.first[1] for kind, line in told_of.items()}
    backlog = {kind for kind, line in told_of.items() if line.is_backlog}
    for step in route.steps:
        day = step.outing.day
        done = date.fromordinal(day)
        counted = [kind for kind in lines if kind is step.kind or step.kind is LineKind.TEST]
        behind = [kind for kind in counted if last[kind] < day]
        missed = [due[kind] or date.fromordinal(last[kind]) for kind in behind]
        passed = [on for kind in counted if (on := due[kind]) and on < done]
        wanted = due[step.kind]
        early = max(0, (wanted - done).days) if wanted else 0
        tolerance = tolerance_days(lines[step.kind].period, grid.tolerance_percent)
        work.setdefault((id(step.outing), numbers.site), []).append(
            PlannedInspection(
                key=item.key,
                kind=step.kind,
                due=wanted,
                early_days=early,
                late_days=(done - min(missed)).days if missed else 0,
                overdue_days=(done - min(passed)).days if passed else 0,
                hasty_days=max(0, early - tolerance),
                minutes=step.minutes,
                is_backlog=bool(behind) and backlog.issuperset(behind),
            )
        )
        backlog.difference_update(counted)
        for kind in counted:
            due[kind] = date_after(done, lines[kind].period)
            last[kind] = told_of[kind].after[day][1]
    return [
        LeftOverdue(key=item.key, kind=kind, due=due[kind])
        for kind in lines
        if last[kind] != NEVER or grid.has_no_day_for(due[kind])
    ]


def _day_out(board: CrewBoard, plan: AreaPlan, outing: Outing, work: _Work) -> DayOut:
    crew = board.terms.crews[outing.crew]
    sites = [plan.days.sites[number] for number in sorted(outing.counts)]
    visits = tuple(
        SiteVisit(
            site=site.site.key,
            inspections=tuple(work.get((id(outing), site.number), ())),
            set_up_minutes=site.site.set_up_minutes,
            is_booked=site.number in outing.booked,
            is_preferred=outing.day in site.preferred,
        )
        for site in sites
    )
    return DayOut(
        day=date.fromordinal(outing.day),
        crew=crew.key,
        people=outing.people,
        visits=visits,
        travel_minutes=2 * outing.farthest + max(0, len(sites) - 1) * outing.within,
        capacity_minutes=outing.capacity,
    )
