"""What if: visits and due counts under other rules, held against those that hold; nothing is saved."""

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Location, Site
from appreg.core.records.work_records import IntervalKind, IntervalOverride, OverrideScope
from appreg.core.values.periods import parse_period
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.progress import Progress, tell
from appreg.register.lists.due_lists import count_withdrawn
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState, due_state
from appreg.tasks.desk.find_rules import Supposed
from appreg.tasks.planning.list_due import DueCounts
from appreg.tasks.planning.plan_visits import EstatePlan, PlanWishes, plan_visits
from appreg.tasks.planning.what_stays import Supposition, left_alone

_AUTHOR = "a supposition"


class WhatIfSide(Struct, frozen=True, kw_only=True):
    """Visits and due counts under one set of rules."""

    plan: EstatePlan
    counts: DueCounts


class WhatIf(Struct, frozen=True, kw_only=True):
    """Both sides."""

    before: WhatIfSide
    after: WhatIfSide
    left_alone: tuple[str, ...]
    """What stays as it is although rules were supposed, a sentence each."""


def what_if(
    register: Register,
    *,
    trips: Sequence[Sequence[Uid]],
    wishes: PlanWishes,
    supposition: Supposition,
    today: date,
    within_days: int = 30,
    progress: Progress | None = None,
) -> WhatIf:
    """Plan trips as the rules are and as they are supposed to be at all their sites.

    Raises InputRefused where nothing is supposed, or where no plan can be made of it; Stopped when `progress` answers False.
    """
    if replace(supposition, locations=()) == Supposition():
        raise InputRefused("Nothing is supposed; name another environment, interval table, tolerance or interval.")
    sites = tuple(dict.fromkeys(uid for trip in trips for uid in trip))
    supposed = tuple(_supposed(register, sites, supposition))
    tolerance = supposition.tolerance_percent
    changed = wishes if tolerance is None else replace(wishes, tolerance_percent=tolerance)
    sides = []
    for at, (records, terms) in enumerate((((), wishes), (supposed, changed))):
        tell(progress, at, 2, "Planning stopped; nothing was supposed.")
        planned = plan_visits(register, trips=trips, wishes=terms, supposed=records)
        sides.append(WhatIfSide(plan=planned, counts=_counts(register, planned, today, within_days)))
    return WhatIf(before=sides[0], after=sides[1], left_alone=left_alone(register, sites, supposition))


def _supposed(register: Register, sites: Sequence[Uid], supposition: Supposition) -> Iterable[Supposed]:
    if supposition.locations and supposition.interval_table is not None:
        raise InputRefused("An interval table holds for a whole site; leave the locations out, or suppose intervals.")
    for uid in sites:
        if not supposition.locations:
            yield _of_site(register.get(Site, uid), supposition)
        for location in register.find(Location, site=uid):
            if supposition.locations and location.uid not in supposition.locations:
                continue
            if supposition.locations and supposition.environment is not None:
                yield replace(location, environment=supposition.environment)
            for what, period in supposition.intervals.items():
                yield _of_location(location, what, period)
    yield from supposition.overrides


def _of_site(site: Site, supposition: Supposition) -> Site:
    return replace(
        site,
        environment=site.environment if supposition.environment is None else supposition.environment,
        interval_table=site.interval_table if supposition.interval_table is None else supposition.interval_table,
    )


def _of_location(location: Location, what: IntervalKind, period: str) -> IntervalOverride:
    return IntervalOverride(
        uid=Uid(f"{location.uid} {what}"),
        scope=OverrideScope.LOCATION,
        target=location.uid,
        what=what,
        period=str(parse_period(period)),
        reason=_AUTHOR,
        author=_AUTHOR,
        on=date.min,
    )


def _counts(register: Register, plan: EstatePlan, today: date, within_days: int) -> DueCounts:
    by_item = [
        [
            due_state(line.due, inspected=True, today=today, within_days=within_days)
            for line in (item.visual, item.test)
            if line
        ]
        for trip in plan.trips
        for item in trip.items
    ]
    return DueCounts(
        overdue=sum(states.count(DueState.OVERDUE) for states in by_item),
        due_soon=sum(states.count(DueState.DUE_SOON) for states in by_item),
        overdue_items=sum(DueState.OVERDUE in states for states in by_item),
        due_soon_items=sum(DueState.DUE_SOON in states and DueState.OVERDUE not in states for states in by_item),
        never=sum(item.last_date is None for trip in plan.trips for item in trip.appliances.values()),
        withdrawn=sum(
            count_withdrawn(register, site=uid)
            for uid in dict.fromkeys(site.uid for trip in plan.trips for site in trip.sites)
        ),
    )
