"""A plan in words and columns: what it is held against, how good it is, and what goes overdue."""

from collections import Counter
from collections.abc import Sequence
from datetime import date
from typing import Final

from msgspec import Struct
from textual.content import Content

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.core.values.text import shown
from appreg.tasks.planning.draft_plan import DraftVisit, LateLine, PlanDraft
from appreg.tasks.planning.plan_visits import EstatePlan, PlanWishes
from appreg.tasks.planning.what_if import WhatIf, WhatIfSide
from appreg.ui.lists.table_columns import FieldColumn, Tone, count_column
from appreg.ui.shell.key_words import key_of as named_key
from appreg.ui.widgets.week_strip import VisitMark, WeekView

FULL_DAY: Final = 480
"""Minutes of eight hours: what one person does in a day at most."""
MOST_LATE: Final = 3
"""Lines kept for what goes overdue."""


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


def unlimited_words(draft: PlanDraft, wishes: PlanWishes) -> str:
    """What no limit of a day lets happen; empty where one is set, or every visit fits into a day's work all the same."""
    longest = max((each.visit.minutes for each in draft.visits), default=0)
    if wishes.capacity_minutes or longest <= FULL_DAY:
        return ""
    days = -(-longest // FULL_DAY)
    return (
        f"no minutes a day are set: the longest visit holds {_grouped(longest)} min, {days} days of 8 hours; "
        f"{named_key('plan.set_minutes', 'm')} sets them"
    )


def _grouped(number: int) -> str:
    return f"{number:,}".replace(",", " ")


def wishes_words(wishes: PlanWishes, days: str) -> str:
    """What the plan keeps to, for the place line."""
    capacity = f"{wishes.capacity_minutes} min a day" if wishes.capacity_minutes else "no limit a day"
    said = [capacity, f"{wishes.years} y", days, f"{wishes.tolerance_percent} % early"]
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
        return f"overdue{due}: {item}, no {DUE_WORDS[line.kind]} before the plan ends"
    days = "1 day" if line.days == 1 else f"{line.days} days"
    return f"overdue {days}: {item}, until its {DUE_WORDS[line.kind]} on {date_words(line.on)}"


def _side(side: WhatIfSide) -> str:
    cost, counts = side.trip.cost, side.counts
    return (
        f"{cost.visits} visits, {cost.minutes} min, {cost.early} early · "
        f"items overdue {counts.overdue_items}, due soon {counts.due_soon_items}, never {counts.never}"
    )


_WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_BAR: Final = 12
"""Cells of a whole day's work."""
FULL: Final = "█"
REST: Final = "░"
BEYOND: Final = "►"


class PlanRow(Struct, frozen=True, kw_only=True):
    """One visit as its line shows it."""

    draft: DraftVisit
    whole: int
    """Minutes that fill the bar: the day's working time, or the longest visit where there is no limit."""
    late: int
    """Inspections of it that come too late."""


def key_of(row: PlanRow) -> str:
    """Name a line: its trip and its day."""
    return f"{row.draft.trip} {row.draft.visit.day.isoformat()}"


def day_words(row: PlanRow) -> str:
    """The day with its weekday."""
    day = row.draft.visit.day
    return f"{_WEEKDAYS[day.weekday()]} {date_words(day)}"


def bar_words(minutes: int, whole: int) -> str:
    """A bar as long as the minutes, to the scale of a whole day; an arrow where they go beyond it."""
    if minutes > whole:
        return FULL * (_BAR - 1) + BEYOND
    cells = max(1, round(minutes * _BAR / whole)) if minutes else 0
    return FULL * cells + REST * (_BAR - cells)


def bar_tone(words: str) -> Tone:
    """What goes beyond the day stands out."""
    return Tone.BAD if words.endswith(BEYOND) else Tone.PLAIN


def late_tone(words: str) -> Tone:
    """Any inspection too late stands out."""
    return Tone.BAD if words else Tone.PLAIN


def _early(row: PlanRow) -> int:
    return sum(each.early_days > 0 for each in row.draft.visit.inspections)


PLAN_COLUMNS: Final[tuple[FieldColumn[PlanRow], ...]] = (
    FieldColumn(key="day", title="visit", min_width=15, text=day_words, order=lambda row: row.draft.visit.day),
    FieldColumn(
        key="bar",
        title="of the day",
        min_width=_BAR,
        tone=bar_tone,
        text=lambda row: bar_words(row.draft.visit.minutes, row.whole),
        order=lambda row: row.draft.visit.minutes,
    ),
    count_column("minutes", "min", lambda row: row.draft.visit.minutes, min_width=4),
    count_column("items", "items", lambda row: len(row.draft.visit.inspections), min_width=5, priority=1),
    count_column("early", "early", _early, min_width=5, priority=2),
    count_column("late", "late", lambda row: row.late, min_width=4, priority=1, zero="", tone=late_tone),
    FieldColumn(
        key="site", title="site", min_width=14, max_width=40, text=lambda row: row.draft.site_names, priority=3
    ),
)


def plan_rows(draft: PlanDraft) -> list[PlanRow]:
    """The lines of a draft, by day."""
    late = Counter((line.appliance.site, line.on) for line in draft.late)
    longest = max((each.visit.minutes for each in draft.visits), default=1)
    return [
        PlanRow(
            draft=each,
            whole=each.capacity_minutes or longest,
            late=sum(late[site.uid, each.visit.day] for site in draft.now.trips[each.trip].sites),
        )
        for each in draft.visits
    ]


def week_view(draft: PlanDraft, chosen: date | None) -> WeekView:
    """The weeks of a draft with at least one trip; the week of the day chosen stands out."""
    terms = draft.now.trips[0].terms
    return WeekView(start=terms.start, end=terms.end, visits=tuple(_mark(each) for each in draft.visits), chosen=chosen)


def _mark(each: DraftVisit) -> VisitMark:
    capacity, minutes = each.capacity_minutes, each.visit.minutes
    return VisitMark(day=each.visit.day, minutes=minutes, overfull=capacity is not None and minutes > capacity)
