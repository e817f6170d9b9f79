"""Where a visit of a plan can go: by allowed days, by weeks, on days on which its crew works."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from appreg.core.values.dates_in_words import date_words
from appreg.errors import InputRefused
from appreg.schedule.kept_days import days_of_crew
from appreg.tasks.planning.live_plan import LivePlan, LiveVisit

_WEEK: Final = 7


def day_steps_away(plan: LivePlan, visit: LiveVisit, steps: int) -> date:
    """The allowed day so many later, or (negative) earlier; raises InputRefused where the plan has none."""
    allowed = _open_days(plan, visit)
    day = visit.day
    place = bisect_right(allowed, day) - 1 + steps if steps > 0 else bisect_left(allowed, day) + steps
    if not 0 <= place < len(allowed):
        raise InputRefused(_no_day(visit, steps))
    return allowed[place]


def day_weeks_away(plan: LivePlan, visit: LiveVisit, weeks: int) -> date:
    """The last allowed day up to so many weeks later, or the first down to so many earlier; at least one day away."""
    allowed = _open_days(plan, visit)
    wanted = visit.day + timedelta(days=_WEEK * weeks)
    nearer = [day for day in allowed if min(visit.day, wanted) <= day <= max(visit.day, wanted) and day != visit.day]
    if nearer:
        return nearer[-1] if weeks > 0 else nearer[0]
    return day_steps_away(plan, visit, 1 if weeks > 0 else -1)


def _open_days(plan: LivePlan, visit: LiveVisit) -> Sequence[date]:
    terms = plan.ground.trips[visit.site.uid].terms
    if visit.crew is None:
        return terms.allowed
    works = set(days_of_crew(visit.crew, terms.start, terms.end))
    return [day for day in terms.allowed if day in works]


def _no_day(visit: LiveVisit, steps: int) -> str:
    end = "before" if steps < 0 else "after"
    return f"The visit stays on {date_words(visit.day)}: the plan has no day {end} that to go."
