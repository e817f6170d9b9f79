"""A plan in words: what it is held against, how good it is, and what goes overdue."""

from collections.abc import Sequence
from typing import Final

from textual.content import Content

from appreg.core.dates_in_words import date_words
from appreg.core.text import shown
from appreg.schedule.plan_items import LineKind
from appreg.tasks.draft_plan import LateLine, PlanDraft
from appreg.tasks.plan_visits import EstatePlan, PlanWishes
from appreg.tasks.what_if import WhatIf, WhatIfSide

MOST_LATE: Final = 3
"""Lines kept for what goes overdue."""
_KINDS: Final = {LineKind.VISUAL: "look", LineKind.TEST: "test"}


def comparison(draft: PlanDraft) -> Content:
    """The plan against going whenever something is due, and against inspecting everything yearly."""
    now, plan = draft.now.cost, draft.proposed
    late = f" ({now.late_items} late)" if now.late_items else ""
    return Content.assemble(
        (f"plan {now.visits} visits{late}", "bold $fail" if late else "bold"),
        (f" · whenever due {plan.when_due.visits}", "$quiet"),
        (f" · yearly everything {plan.yearly.visits}", "$quiet"),
        (f" ({plan.yearly.late_items} late)", "$doubt" if plan.yearly.late_items else "$quiet"),
    )


def costs(plan: EstatePlan) -> str:
    """Minutes and early inspections of the plan and of what it is held against."""
    ways = (plan.cost, plan.when_due, plan.yearly)
    minutes = [str(way.minutes) for way in ways]
    early = ", ".join(str(way.early) for way in ways)
    return f"minutes {minutes[0]} · whenever due {minutes[1]} · yearly {minutes[2]} · inspected early {early}"


def proof(plan: EstatePlan) -> str:
    """How good the number of visits is proven to be."""
    if plan.cost.late_items:
        return f"a plan in which nothing goes late has at least {plan.bound} visits"
    if plan.cost.visits < plan.bound:
        return f"a plan that keeps to its tolerance has at least {plan.bound} visits"
    if plan.cost.visits == plan.bound:
        return f"no plan has fewer than {plan.bound} visits: proven least"
    return f"no plan has fewer than {plan.bound} visits: at most {plan.gap_percent} % above the least"


def wishes_words(wishes: PlanWishes, days: str) -> str:
    """What the plan keeps to, for the place line."""
    said = [f"{wishes.years} y", days, f"{wishes.tolerance_percent} % early"]
    if wishes.capacity_minutes:
        said.append(f"{wishes.capacity_minutes} min a day")
    return " · ".join(said)


def late_words(lines: Sequence[LateLine], *, changed: bool) -> Content:
    """What goes overdue, at most three lines of it; or that nothing does."""
    if not lines:
        said = "moved: nothing goes overdue" if changed else "nothing goes overdue that a visit could reach"
        return Content.styled(said, "$pass")
    spelled = [_late_line(line) for line in lines[:MOST_LATE]]
    if len(lines) > MOST_LATE:
        spelled[-1] = f"and {len(lines) - MOST_LATE + 1} more, marked on their visits"
    return Content("\n").join([Content.styled(shown(words), "$fail") for words in spelled])


def what_if_words(compared: WhatIf) -> Content:
    """Both sides of a what-if, a line each."""
    return Content("\n").join(
        [
            Content(f"as it is   {_side(compared.before)}"),
            Content(f"what if    {_side(compared.after)}"),
            Content.styled("nothing is saved", "$quiet"),
        ]
    )


def _late_line(line: LateLine) -> str:
    item = f"{line.appliance.tag} {line.appliance.name}"
    if line.on is None:
        due = f" from {date_words(line.due)}" if line.due else ""
        return f"overdue{due}: {item}, no {_KINDS[line.kind]} before the plan ends"
    days = "1 day" if line.days == 1 else f"{line.days} days"
    return f"overdue {days}: {item}, until its {_KINDS[line.kind]} on {date_words(line.on)}"


def _side(side: WhatIfSide) -> str:
    cost, counts = side.trip.cost, side.counts
    return (
        f"{cost.visits} visits, {cost.minutes} min, {cost.early} early · "
        f"overdue {counts.overdue}, due soon {counts.due_soon}, never {counts.never}"
    )
