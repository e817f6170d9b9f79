"""One site's part of a plan by crews, as a plan of visits."""

from datetime import date

from appreg.schedule.crew_plans import CrewPlan
from appreg.schedule.plan_items import PlannedInspection, PlannedVisit
from appreg.schedule.plan_telling import VisitPlan


def visits_to(plan: CrewPlan, site: str, *, crews: int = 1, least: int = 0) -> VisitPlan:
    """The visits to a site by their key; crews that are there on one day make one visit.

    `crews` is how many may be there on one day, `least` a bound on the visits that is known otherwise.
    """
    work: dict[date, list[PlannedInspection]] = {}
    for out, visit in plan.visits:
        if visit.site == site:
            work.setdefault(out.day, []).extend(visit.inspections)
    return VisitPlan(
        visits=tuple(PlannedVisit(day=day, inspections=tuple(work[day])) for day in sorted(work)),
        bound=max(least, -(-plan.site_bounds.get(site, 0) // crews)),
        left=plan.left.get(site, ()),
        over_capacity=tuple(
            out.day for out in plan.days_out if out.is_over and any(visit.site == site for visit in out.visits)
        ),
    )
