"""What if: visits and due counts under other rules, held against those that hold; nothing is saved."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.records.kept_records import Location, Site
from appreg.core.records.work_records import IntervalKind, IntervalOverride, OverrideScope
from appreg.core.values.periods import parse_period
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.progress import Progress, tell
from appreg.register.lists.due_lists import withdrawn_items
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState, due_state
from appreg.tasks.desk.find_rules import Supposed
from appreg.tasks.planning.list_due import DueCounts
from appreg.tasks.planning.plan_visits import PlanWishes, TripPlan, plan_visits

_AUTHOR = "a supposition"


class Supposition(Struct, frozen=True, kw_only=True):
    """What is supposed of the sites; what is None or empty stays as it is."""

    environment: str | None = None
    """Id of another environment of the sites; locations with one of their own keep it."""
    interval_table: str | None = None
    tolerance_percent: int | None = None
    intervals: Mapping[IntervalKind, str] = field(default_factory=dict)
    """By kind: an interval (ISO 8601) for every item of the sites that has none of its own."""
    overrides: tuple[IntervalOverride, ...] = ()
    """Intervals set by hand for single targets."""


class WhatIfSide(Struct, frozen=True, kw_only=True):
    """Visits and due counts under one set of rules."""

    trip: TripPlan
    counts: DueCounts


class WhatIf(Struct, frozen=True, kw_only=True):
    """Both sides."""

    before: WhatIfSide
    after: WhatIfSide


def what_if(
    register: Register,
    *,
    trip: Sequence[Uid],
    wishes: PlanWishes,
    supposition: Supposition,
    today: date,
    within_days: int = 30,
    progress: Progress | None = None,
) -> WhatIf:
    """Plan one trip as the rules are and as they are supposed to be.

    Raises InputRefused where nothing is supposed, or where no plan can be made of it; Stopped when `progress` answers False.
    """
    if supposition == Supposition():
        raise InputRefused("Nothing is supposed; name another environment, interval table, tolerance or interval.")
    supposed = tuple(_supposed(register, trip, supposition))
    tolerance = supposition.tolerance_percent
    changed = wishes if tolerance is None else replace(wishes, tolerance_percent=tolerance)
    sides = []
    for at, (records, terms) in enumerate((((), wishes), (supposed, changed))):
        tell(progress, at, 2, "Planning stopped; nothing was supposed.")
        (planned,) = plan_visits(register, trips=(trip,), wishes=terms, supposed=records).trips
        sides.append(WhatIfSide(trip=planned, counts=_counts(register, planned, today, within_days)))
    return WhatIf(before=sides[0], after=sides[1])


def _supposed(register: Register, trip: Sequence[Uid], supposition: Supposition) -> Iterable[Supposed]:
    for uid in trip:
        site = register.get(Site, uid)
        yield replace(
            site,
            environment=site.environment if supposition.environment is None else supposition.environment,
            interval_table=site.interval_table if supposition.interval_table is None else supposition.interval_table,
        )
        for location in register.find(Location, site=uid):
            for what, period in supposition.intervals.items():
                yield _of_location(location, what, period)
    yield from supposition.overrides


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


def _counts(register: Register, trip: TripPlan, today: date, within_days: int) -> DueCounts:
    by_item = [
        [
            due_state(line.due, inspected=True, today=today, within_days=within_days)
            for line in (item.visual, item.test)
            if line
        ]
        for item in trip.items
    ]
    return DueCounts(
        overdue=sum(states.count(DueState.OVERDUE) for states in by_item),
        due_soon=sum(states.count(DueState.DUE_SOON) for states in by_item),
        overdue_items=sum(DueState.OVERDUE in states for states in by_item),
        due_soon_items=sum(DueState.DUE_SOON in states and DueState.OVERDUE not in states for states in by_item),
        never=sum(item.last_date is None for item in trip.appliances.values()),
        withdrawn=sum(len(withdrawn_items(register, site=site.uid)) for site in trip.sites),
    )
