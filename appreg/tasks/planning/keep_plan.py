"""Keep a plan to go on with another day: its terms, and each of its visits as a row; list such plans, load one, remove it."""

from collections.abc import Iterable, Sequence
from datetime import date

import msgspec
from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.planning_records import KeptPlan, KeptVisit
from appreg.core.values.text import LONGEST, clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.journal.changes import Change
from appreg.register.opening.register_file import Register
from appreg.schedule.plan_items import LineKind, PlannedInspection
from appreg.tasks.planning.plan_visits import EstatePlan, PlanWishes, TripPlan


class PlannedDay(Struct, frozen=True, kw_only=True):
    """A day at a site, as a plan has it."""

    site: Uid
    day: date
    crew: Uid | None = None
    items: tuple[str, ...] = ()
    """Keys of the items that are done, each with its kind (`work_key`); empty: whatever is due."""


class LoadedPlan(Struct, frozen=True, kw_only=True):
    """A kept plan with all that belongs to it."""

    plan: KeptPlan
    wishes: PlanWishes
    visits: tuple[KeptVisit, ...]
    """By day."""


def days_of(estate: EstatePlan) -> tuple[PlannedDay, ...]:
    """The days of a plan as it was made, one a site and crew, each with its work."""
    days: list[PlannedDay] = []
    if estate.crews is not None:
        for out, visit in estate.crews.visits:
            trip = estate.trips[int(visit.site)]
            crew = Uid(out.crew) if out.crew else None
            days += _days(trip, out.day, visit.inspections, crew=crew)
    else:
        for trip in estate.trips:
            for planned in trip.plan.visits:
                days += _days(trip, planned.day, planned.inspections, crew=None)
    return tuple(sorted(days, key=lambda each: (each.day, each.site)))


def _days(trip: TripPlan, day: date, inspections: Sequence[PlannedInspection], *, crew: Uid | None) -> list[PlannedDay]:
    done: dict[Uid, list[str]] = {}
    for each in inspections:
        item = trip.appliances[each.key]
        done.setdefault(item.site, []).append(work_key(item.uid, each.kind))
    return [PlannedDay(site=site, day=day, crew=crew, items=tuple(items)) for site, items in done.items()]


def work_key(item: str, kind: LineKind) -> str:
    """An item with what is done on it, as a kept visit names it."""
    return f"{item} {kind}"


def work_of(items: Iterable[str]) -> dict[str, LineKind]:
    """By key of the item what is done on it; where a kept visit does not say, both inspections."""
    work = {}
    for each in items:
        key, _, kind = each.partition(" ")
        work[key] = LineKind(kind or LineKind.TEST)
    return work


def keep_plan(
    register: Register,
    who: str,
    *,
    name: str,
    on: date,
    wishes: PlanWishes,
    visits: Sequence[PlannedDay],
    whose: str = "",
) -> KeptPlan:
    """Keep a plan under a name; raises InputRefused where the name is empty or another plan has it."""
    with register.change(who, "plan kept") as change:
        plan = KeptPlan(
            uid=change.new_uid(),
            name=_free_name(register, name),
            whose=clean(whose or who, field="whose", longest=LONGEST),
            made_on=on,
            terms=terms_text(wishes),
        )
        change.put(plan)
        _put_visits(change, plan.uid, visits)
    return plan


def plan_anew(
    register: Register, who: str, plan: Uid, *, wishes: PlanWishes, visits: Sequence[PlannedDay], said: str
) -> KeptPlan:
    """Put other visits, made to other terms say, in place of those of a kept plan, as one act that can be undone."""
    with register.change(who, said) as change:
        before = register.get(KeptPlan, plan)
        for each in register.find(KeptVisit, plan=plan):
            change.remove(each)
        after = replace(before, terms=terms_text(wishes), step=before.step + 1, said=said)
        change.put(after)
        _put_visits(change, plan, visits)
    return after


def rename_plan(register: Register, who: str, plan: Uid, *, name: str) -> KeptPlan:
    """Give a kept plan another name."""
    with register.change(who, "plan renamed") as change:
        kept = register.get(KeptPlan, plan)
        if kept.name != name:
            kept = replace(kept, name=_free_name(register, name))
            change.put(kept)
    return kept


def kept_plans(register: Register) -> tuple[KeptPlan, ...]:
    """All kept plans, the latest first."""
    return tuple(sorted(register.find_readable(KeptPlan), key=lambda each: (each.made_on, each.uid), reverse=True))


def load_plan(register: Register, plan: Uid) -> LoadedPlan:
    """A kept plan as it stands now; raises InputRefused where its terms cannot be read."""
    kept = register.get(KeptPlan, plan)
    visits = sorted(register.find(KeptVisit, plan=plan), key=lambda each: (each.day, each.uid))
    return LoadedPlan(plan=kept, wishes=wishes_of(kept), visits=tuple(visits))


def remove_plan(register: Register, who: str, plan: Uid) -> Uid:
    """Take a kept plan out; booked visits stay. Returns the key of the change, by which it can be undone."""
    with register.change(who, "plan removed") as change:
        for each in register.find(KeptVisit, plan=plan):
            change.remove(each)
        change.remove(register.get(KeptPlan, plan))
        return change.uid


def terms_text(wishes: PlanWishes) -> str:
    """The terms of a plan as they are kept."""
    return msgspec.json.encode(wishes, order="sorted").decode()


def wishes_of(plan: KeptPlan) -> PlanWishes:
    """The terms of a kept plan; raises InputRefused where another version wrote what this one cannot read."""
    try:
        return msgspec.json.decode(plan.terms, type=PlanWishes)
    except (msgspec.DecodeError, msgspec.ValidationError) as problem:
        raise InputRefused(f"The terms of the plan {plan.name} cannot be read; plan it anew.") from problem


def _put_visits(change: Change, plan: Uid, visits: Sequence[PlannedDay]) -> None:
    change.put_many(
        KeptVisit(
            uid=change.new_uid(), plan=plan, site=each.site, day=each.day, crew=each.crew, items=tuple(each.items)
        )
        for each in visits
    )


def _free_name(register: Register, name: str) -> str:
    words = " ".join(clean(name, field="name", longest=LONGEST).split())
    if not words:
        raise InputRefused("plan name: nothing is typed; type a name.", field="name")
    if any(each.name.casefold() == words.casefold() for each in register.find(KeptPlan)):
        raise InputRefused(f"plan name: there is a plan {words} already; choose another name.", field="name")
    return words
