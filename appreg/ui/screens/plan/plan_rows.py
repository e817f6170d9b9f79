"""A plan in lines: its visits with the load of the crew's day, its weeks, and one visit's work."""

from collections.abc import Iterator
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.core.values.uids import Uid
from appreg.schedule.crew_plans import DayOut
from appreg.tasks.planning.live_plan import LivePlan, LiveVisit
from appreg.ui.lists.table_columns import FieldColumn, Tone, count_column
from appreg.ui.screens.plan.plan_words import booked_words, days_words, timing_words
from appreg.ui.widgets.beside import BesideLine
from appreg.ui.widgets.week_strip import VisitMark, WeekView

_WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_BAR: Final = 10
"""Cells of a whole day's work."""
FULL: Final = "█"
REST: Final = "░"
BEYOND: Final = "►"


class PlanRow(Struct, frozen=True, kw_only=True):
    """One visit as its line shows it."""

    visit: LiveVisit
    out: DayOut | None
    """The crew's day that it is part of."""
    whole: int
    """Minutes that fill the bar: what all of the crew can do on the day, or the longest day where there is no limit."""

    @property
    def load(self) -> int:
        """Minutes of the whole day out, ways and setting up included."""
        return self.out.minutes if self.out else self.visit.minutes


def key_of(row: PlanRow) -> str:
    """Name a line."""
    return row.visit.key


def day_words(row: PlanRow) -> str:
    """The day with its weekday."""
    return f"{_WEEKDAYS[row.visit.day.weekday()]} {date_words(row.visit.day)}"


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


def booked_tone(words: str) -> Tone:
    """What is agreed, and what is not yet."""
    return {"confirmed": Tone.GOOD, "booked": Tone.WARN}.get(words, Tone.PLAIN)


def _early(row: PlanRow) -> int:
    return sum(each.early_days > 0 for each in row.visit.inspections)


def _late(row: PlanRow) -> int:
    return sum(each.late_days > 0 for each in row.visit.inspections)


def _duration(row: PlanRow) -> str:
    return days_words(row.visit.minutes).removesuffix(" min").removesuffix(" of 8 h")


PLAN_COLUMNS: Final[tuple[FieldColumn[PlanRow], ...]] = (
    FieldColumn(key="day", title="visit", min_width=15, text=day_words, order=lambda row: row.visit.day),
    FieldColumn(
        key="bar",
        title="crew day",
        min_width=_BAR,
        tone=bar_tone,
        text=lambda row: bar_words(row.load, row.whole),
        order=lambda row: row.load,
        priority=2,
    ),
    FieldColumn(
        key="minutes",
        title="min",
        min_width=5,
        max_width=7,
        number=True,
        text=_duration,
        order=lambda row: row.visit.minutes,
    ),
    count_column("items", "insp", lambda row: len(row.visit.inspections), min_width=4, priority=5),
    count_column("early", "early", _early, min_width=5, priority=6, zero=""),
    count_column("late", "late", _late, min_width=4, priority=1, zero="", tone=late_tone),
    FieldColumn(key="site", title="site", min_width=10, max_width=40, text=lambda row: row.visit.site.name, priority=0),
    FieldColumn(
        key="crew",
        title="crew",
        min_width=6,
        max_width=18,
        text=lambda row: row.visit.crew.name if row.visit.crew else "",
        priority=3,
    ),
    FieldColumn(
        key="booked",
        title="agreed",
        min_width=9,
        text=lambda row: booked_words(row.visit),
        tone=booked_tone,
        priority=1,
    ),
)


def columns_for(plan: LivePlan) -> tuple[FieldColumn[PlanRow], ...]:
    """The columns that say something of a plan: without crews or bookings theirs would stand empty."""
    empty = set()
    if not any(visit.crew for visit in plan.visits):
        empty.add("crew")
    if not any(visit.booked for visit in plan.visits):
        empty.add("booked")
    return tuple(column for column in PLAN_COLUMNS if column.key not in empty)


def plan_rows(plan: LivePlan) -> list[PlanRow]:
    """The lines of a plan, by day."""
    longest = max((out.minutes for out in plan.days_out), default=1)
    by_day = {(out.day, out.crew, visit.site): out for out in plan.days_out for visit in out.visits}
    rows = []
    for visit in plan.visits:
        out = by_day.get((visit.day, visit.crew.uid if visit.crew else "", visit.site.uid))
        whole = out.capacity_minutes if out and plan.ground.has_hours else max(longest, 1)
        rows.append(PlanRow(visit=visit, out=out, whole=whole))
    return rows


def week_view(plan: LivePlan, chosen: date | None) -> WeekView:
    """The weeks of a plan with at least one site; the week of the day chosen stands out."""
    terms = next(iter(plan.ground.trips.values())).terms
    marks = tuple(
        VisitMark(day=out.day, minutes=out.minutes, overfull=plan.ground.has_hours and out.is_over)
        for out in plan.days_out
    )
    return WeekView(start=terms.start, end=terms.end, visits=marks, chosen=chosen)


def visit_lines(plan: LivePlan, row: PlanRow) -> Iterator[BesideLine]:
    """What stands beside the list of a visit: the crew's day, what is agreed, then its items."""
    visit, out = row.visit, row.out
    if out is not None:
        crew = visit.crew.name if visit.crew else ("the crew" if plan.ground.has_hours else "")
        of = f" of {out.capacity_minutes}" if plan.ground.has_hours else ""
        others = [plan.ground.trips[Uid(each)].sites[0].name for each in _others(out, visit)]
        day = (
            f"{crew}: ".removeprefix(": ")
            + f"{days_words(out.minutes) if not of else f'{out.minutes}{of} min'} that day"
        )
        yield BesideLine(day, "$fail" if of and out.is_over else "")
        yield BesideLine(f"ways {out.people * out.travel_minutes} min, setting up {_setting_up(out)} min", "$quiet")
        if others:
            yield BesideLine(f"also {', '.join(others)}", "$quiet")
    if visit.booked is not None:
        note = f": {visit.booked.note}" if visit.booked.note else ""
        yield BesideLine(f"{booked_words(visit)}{note}", "$pass" if visit.booked.confirmed else "$doubt")
    if not visit.inspections:
        yield BesideLine("nothing is due on that day that another visit does not do", "$quiet")
    appliances = plan.ground.trips[visit.site.uid].appliances
    for each in sorted(visit.inspections, key=lambda made: tag_order(appliances[made.key].tag)):
        item = appliances[each.key]
        style = "$fail" if each.late_days else "$doubt" if each.hasty_days or each.overdue_days else ""
        yield BesideLine(f"{item.tag} {item.name}: {DUE_WORDS[each.kind]}, {timing_words(each)}", style)


def _others(out: DayOut, visit: LiveVisit) -> list[str]:
    return [each.site for each in out.visits if each.site != visit.site.uid]


def _setting_up(out: DayOut) -> int:
    return out.people * sum(each.set_up_minutes for each in out.visits)
