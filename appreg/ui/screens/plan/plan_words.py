"""A plan in words: what it is held against, how good it is, what goes late, what comes early, what an act did."""

from collections.abc import Sequence
from typing import Final

from msgspec import Struct
from textual.content import Content

from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.schedule.days_out import GoingCost
from appreg.schedule.plan_items import LeftOverdue, PlannedInspection
from appreg.tasks.planning.live_plan import FULL_DAY, LivePlan, LiveVisit, ToldInspection
from appreg.tasks.planning.plan_visits import EstatePlan, PlanWishes
from appreg.tasks.planning.what_if import WhatIf, WhatIfSide
from appreg.ui.shell.key_words import key_of as named_key

_NARROW: Final = 76
_ROOMY: Final = 100
"""Columns from which both ways of going are told with their units."""
MOST_TOLD: Final = 3
"""Lines kept for what goes late or comes early."""


class PlanProof(Struct, frozen=True, kw_only=True):
    """How good a plan was when it was made."""

    what: str
    """What is counted: days out, or visits."""
    count: int
    bound: int
    gap_percent: int
    keeps_all: bool
    """Nothing goes late in it, and nothing that is overdue already waits for time."""
    is_whole: bool = True
    """The search ended by itself."""


def proof_of(estate: EstatePlan) -> PlanProof:
    """The proof that comes with a plan: of its days out where crews or hours are given, else of its visits."""
    if estate.crews is not None:
        crews = estate.crews
        return PlanProof(
            what="days out",
            count=len(crews.days_out),
            bound=crews.bound,
            gap_percent=crews.gap_percent,
            keeps_all=estate.keeps_all,
            is_whole=crews.is_whole,
        )
    return PlanProof(
        what="visits",
        count=estate.cost.visits,
        bound=estate.bound,
        gap_percent=estate.gap_percent,
        keeps_all=estate.keeps_all,
    )


def comparison(plan: LivePlan, width: int) -> Content:
    """The plan against going whenever something is due: days out, visits, minutes; as much as the width holds."""
    late = plan.late
    items = len({row.appliance.uid for row in late})
    said = f" ({counted(items, 'item')} late)" if items else ""
    own, due = going_words(plan.cost), going_words(plan.when_due)
    if width < _NARROW:
        own, due = (counted(cost.days_out, "day") + " out" for cost in (plan.cost, plan.when_due))
    elif width < _ROOMY:
        cost = plan.when_due
        due = f"{cost.days_out}, {cost.visits}, {grouped(cost.minutes)}"
    return Content.assemble(
        (f"plan {own}{said}", "bold $fail" if items else "bold"), (f" · whenever due {due}", "$quiet")
    )


def going_words(cost: GoingCost) -> str:
    """Days out, visits and minutes of a way of going."""
    return f"{counted(cost.days_out, 'day')} out, {counted(cost.visits, 'visit')}, {grouped(cost.minutes)} min"


def yearly_words(plan: LivePlan) -> str:
    """What inspecting everything once a year would come to, and how much of the plan is early."""
    yearly = plan.ground.yearly.values()
    late = sum(each.late_items for each in yearly)
    early = sum(each.early_days > 0 for visit in plan.visits for each in visit.inspections)
    said = f"yearly everything {counted(sum(each.visits for each in yearly), 'visit')}"
    said += f", {grouped(sum(each.minutes for each in yearly))} min on site"
    if late:
        said += f" ({counted(late, 'item')} late)"
    return f"{said} · of the plan {counted(early, 'inspection')} before due"


def proof(made: PlanProof | None) -> str:
    """How good the number of days out, or of visits, is proven to be."""
    if made is None:
        return f"how good it is was told when it was made: {named_key('plan.set_wishes', 'p')} plans anew"
    if not made.keeps_all:
        said = f"a plan in which nothing goes late has at least {made.bound} {made.what}"
    elif made.count < made.bound:
        said = f"a plan that keeps to its tolerance has at least {made.bound} {made.what}"
    elif made.count == made.bound:
        said = f"no plan has fewer than {made.bound} {made.what}: proven least"
    else:
        said = f"no plan has fewer than {made.bound} {made.what}: at most {made.gap_percent} % above the least"
    longer = f"; {named_key('plan.search_on', 'a')} searches longer" if made.count > made.bound else ""
    return f"{said}{'' if made.is_whole else ', stopped before the search ended'}{longer}"


def unlimited_words(plan: LivePlan) -> str:
    """What no limit of a day lets happen; empty where one is set, or every visit fits into a day's work all the same."""
    longest = max((visit.minutes for visit in plan.visits), default=0)
    if plan.ground.has_hours or longest <= FULL_DAY:
        return ""
    return (
        f"no minutes a day are set: the longest visit holds {days_words(longest)}; "
        f"{named_key('plan.set_minutes', 'm')} sets them, {named_key('plan.pick_crews', 'g')} names crews"
    )


def days_words(minutes: int) -> str:
    """Minutes where they are a day's work or less, else as days of eight hours."""
    return f"{minutes} min" if minutes <= FULL_DAY else f"{-(-minutes // FULL_DAY)} days of 8 h"


def grouped(number: int) -> str:
    """A number with its thousands apart."""
    return f"{number:,}".replace(",", " ")


def wishes_words(wishes: PlanWishes, days: str, crews: Sequence[str]) -> str:
    """What the plan keeps to, for the place line."""
    capacity = f"{wishes.capacity_minutes} min a day" if wishes.capacity_minutes else "no limit a day"
    hours = ", ".join(crews) if crews else capacity
    return " · ".join([shown(hours), f"{wishes.years} y", days, f"{wishes.tolerance_percent} % early"])


def trouble_words(plan: LivePlan) -> Content:
    """What goes late and what comes before its tolerance, at most three lines of it; or that nothing does."""
    lines = [(late_line(row), "$fail") for row in plan.late] + [(hasty_line(row), "$doubt") for row in plan.hasty]
    if not lines:
        return Content.styled("nothing goes overdue that a visit could reach, none before its tolerance", "$pass")
    told = lines[:MOST_TOLD]
    if len(lines) > MOST_TOLD:
        told[-1] = (f"and {len(lines) - MOST_TOLD + 1} more, marked on their visits", told[-1][1])
    return Content("\n").join([Content.styled(shown(words), style) for words, style in told])


def late_line(row: ToldInspection) -> str:
    """An inspection that is late, by its own due date."""
    item = f"{row.appliance.tag} {row.appliance.name}"
    what = DUE_WORDS[row.planned.kind]
    if isinstance(row.planned, LeftOverdue) or row.day is None:
        due = f" from {date_words(row.planned.due)}" if row.planned.due else ""
        return f"overdue{due}: {item}, no {what} before the plan ends"
    return f"overdue {counted(row.planned.late_days, 'day')}: {item}, until its {what} on {date_words(row.day)}"


def hasty_line(row: ToldInspection) -> str:
    """An inspection before its tolerance, as otherwise it would go late."""
    days = row.planned.hasty_days if isinstance(row.planned, PlannedInspection) else 0
    on = date_words(row.day) if row.day else ""
    return (
        f"early {counted(days, 'day')} before its tolerance: {row.appliance.tag} {row.appliance.name}, "
        f"{DUE_WORDS[row.planned.kind]} on {on}"
    )


def timing_words(each: PlannedInspection) -> str:
    """When an inspection is due, and how far from that it is made."""
    if each.due is None:
        return "never done"
    due = f"due {date_words(each.due)}"
    if each.late_days or each.overdue_days:
        return f"{due}, {counted(each.late_days or each.overdue_days, 'day')} late"
    if each.hasty_days:
        return f"{due}, {each.early_days} early, {each.hasty_days} before its tolerance"
    return f"{due}, {counted(each.early_days, 'day')} early" if each.early_days else due


def act_words(said: str, before: LivePlan, after: LivePlan) -> str:
    """What an act did to the plan, in a sentence; what goes later comes before what is no longer late."""
    was, now = lateness(before), lateness(after)
    more = now.keys() - was.keys()
    later = [uid for uid in now.keys() & was.keys() if now[uid] > was[uid]]
    gone = was.keys() - now.keys()
    follows = [f"{counted(len(more), 'more item')} late"] if more else []
    follows += [f"{counted(len(later), 'late item')} later still"] if later else []
    if not follows:
        follows = [f"{counted(len(gone), 'item')} no longer late" if gone else "nothing more goes late"]
    return f"{said}: {', '.join(follows)}"


def lateness(plan: LivePlan) -> dict[Uid, tuple[int, int]]:
    """How late each late item is: its inspections that no visit meets, and the days by which the others are late."""
    late: dict[Uid, tuple[int, int]] = {}
    for row in plan.late:
        undone, days = late.get(row.appliance.uid, (0, 0))
        own = row.planned.late_days if isinstance(row.planned, PlannedInspection) else 0
        late[row.appliance.uid] = undone + isinstance(row.planned, LeftOverdue), days + own
    return late


def beside_words(plan: LivePlan, moved: LiveVisit) -> str:
    """That another visit to the site stands on the same day; empty where none does."""
    same = [each for each in plan.visits if (each.site.uid, each.day) == (moved.site.uid, moved.day)]
    if len(same) < 2:  # noqa: PLR2004 - itself and another
        return ""
    return f"; {len(same)} visits to it stand on that day, {named_key('plan.merge', 'J')} merges them"


def booked_words(visit: LiveVisit) -> str:
    """Whether a visit is agreed with the site."""
    if visit.booked is None:
        return ""
    return "confirmed" if visit.booked.confirmed else "booked"


def what_if_words(compared: WhatIf) -> Content:
    """Both sides of a what-if, a line each, and what is left alone."""
    alone = f" · left alone: {'; '.join(compared.left_alone)}" if compared.left_alone else ""
    return Content("\n").join(
        [
            Content(f"as it is   {_side(compared.before)}"),
            Content(f"what if    {_side(compared.after)}"),
            Content.styled(shown(f"nothing is saved{alone}"), "$quiet"),
        ]
    )


def _side(side: WhatIfSide) -> str:
    cost, counts = side.plan.cost, side.counts
    days = f"{len(side.plan.crews.days_out)} days out, " if side.plan.crews else ""
    return (
        f"{days}{cost.visits} visits, {cost.minutes} min, {cost.early} early, {cost.late_items} items late · "
        f"items overdue {counts.overdue_items}, due soon {counts.due_soon_items}, never {counts.never}"
    )
