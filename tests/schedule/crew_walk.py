"""Walks every item of a plan by crews and says what is wrong: days, closures, crews, hours, windows, arithmetic."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from dateutil.relativedelta import relativedelta

from appreg.schedule.crew_plans import CrewPlan, DayOut
from appreg.schedule.crew_terms import CrewTerms, PlanSite
from appreg.schedule.plan_items import LineKind, PlanItem, PlannedInspection, tolerance_days


def faults(plan: CrewPlan, sites: Sequence[PlanSite], terms: CrewTerms) -> list[str]:
    """Every rule that the plan breaks, in words; none is what is wanted."""
    by_key = {site.key: site for site in sites}
    found = [fault for out in plan.days_out for fault in _day_faults(out, by_key, terms)]
    pairs = [(out.day, out.crew) for out in plan.days_out]
    found += [f"{pair} goes out twice" for pair in set(pairs) if pairs.count(pair) > 1]
    made: dict[str, list[tuple[date, PlannedInspection]]] = {}
    for out, visit, each in plan.inspections:
        made.setdefault(each.key, []).append((out.day, each))
        if each.key not in {item.key for item in by_key[visit.site].items}:
            found.append(f"{each.key} is not at {visit.site}")
    left = {(each.key, each.kind) for rest in plan.left.values() for each in rest}
    for site in sites:
        for item in site.items:
            found += _ItemWalk(item, site, terms).faults(made.get(item.key, []), left)
    return found


def hasty_days(plan: CrewPlan) -> int:
    """Days before its tolerance of all work, but for what is so by its own due date, whatever the plan."""
    days = 0
    seen: set[tuple[str, LineKind]] = set()
    for _, _, each in plan.inspections:
        if (each.key, each.kind) in seen:
            days += each.hasty_days
        seen |= {(each.key, each.kind), (each.key, LineKind.VISUAL)}
    return days


def _day_faults(out: DayOut, sites: dict[str, PlanSite], terms: CrewTerms) -> Iterator[str]:
    crew = next(each for each in terms.crews if each.key == out.crew)
    stops = [sites[visit.site] for visit in out.visits]
    if not stops:
        yield f"{out.day} {out.crew}: nobody is visited"
        return
    travel = 2 * max(site.travel_minutes for site in stops)
    travel += (len(stops) - 1) * terms.within_district.get(stops[0].district, 0)
    work = sum(each.minutes for visit in out.visits for each in visit.inspections)
    taken = work + crew.people * (travel + sum(site.set_up_minutes for site in stops))
    if taken != out.minutes:
        yield f"{out.day} {out.crew}: {out.minutes} minutes are told, {taken} are taken"
    many = sum(len(visit.inspections) for visit in out.visits) > 1
    if taken > crew.people * crew.minutes.get(out.day, 0) and many and not any(each.is_booked for each in out.visits):
        yield f"{out.day} {out.crew}: {taken} minutes are too many"
    if len(stops) > 1 and (not stops[0].district or len({site.district for site in stops}) > 1):
        yield f"{out.day} {out.crew}: sites of several districts"
    for visit in out.visits:
        if out.day not in sites[visit.site].allowed and not visit.is_booked:
            yield f"{visit.site} is closed on {out.day}"
        if not visit.inspections and not visit.is_booked:
            yield f"nothing is done at {visit.site} on {out.day}"


class _ItemWalk:
    """One item on its way through the plan."""

    def __init__(self, item: PlanItem, site: PlanSite, terms: CrewTerms) -> None:
        self.item = item
        self.terms = terms
        self.days = [day for day in site.allowed if any(crew.capacity(day) for crew in terms.crews)]
        self.done = terms.start - timedelta(days=1)
        self.due: dict[LineKind, date | None] = {kind: line.due for kind, line in item.lines.items()}
        self.promised = [
            each.day for each in terms.booked if each.site == site.key and each.items and item.key in each.items
        ]

    def faults(self, made: list[tuple[date, PlannedInspection]], left: set[tuple[str, LineKind]]) -> Iterator[str]:
        on = [day for day, _ in made]
        if sorted(set(on)) != on:
            yield f"{self.item.key} is inspected twice in a day, or out of order"
        for day, each in made:
            yield from self._step(day, each)
        for kind, falls in self.due.items():
            open_days = not self.days or any(free > self.done for free in self.days)
            if (falls or self.terms.start) <= self.terms.end and (self.item.key, kind) not in left and open_days:
                yield f"{self.item.key} falls due on {falls} and is forgotten"
        for day in set(self.promised).difference(on):
            yield f"{self.item.key} is not inspected on {day} as promised"

    def _step(self, day: date, each: PlannedInspection) -> Iterator[str]:
        counted = [kind for kind in self.item.lines if each.kind in {kind, LineKind.TEST}]
        open_days = [free for free in self.days if free > self.done]
        if each.late_days != max(_late(self.due[kind], day, open_days) for kind in counted):
            yield f"{self.item.key} is told to be {each.late_days} days late on {day}"
        if each.overdue_days != max(max(0, (day - (self.due[kind] or day)).days) for kind in counted):
            yield f"{self.item.key} is told to be {each.overdue_days} days overdue on {day}"
        early = ((self.due[each.kind] or day) - day).days
        line = self.item.lines[each.kind]
        if each.hasty_days != max(0, early - tolerance_days(line.period, self.terms.tolerance_percent)):
            yield f"{self.item.key} is told to be {each.hasty_days} days before its tolerance on {day}"
        for kind in counted:
            period = self.item.lines[kind].period
            self.due[kind] = day + relativedelta(months=period.months, days=period.days)
        self.done = day


def _late(due: date | None, day: date, open_days: list[date]) -> int:
    """Days after its own due date, where an allowed day before would have kept it in date or been nearer."""
    last = max((free for free in open_days if due and free <= due), default=open_days[0] if open_days else day)
    return (day - (due or last)).days if day > last else 0
