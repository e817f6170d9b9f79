"""The lines of the Plan screen: when, how long against the day, how much work, and where."""

from collections import Counter
from datetime import date
from typing import Final

from appreg.core.dates_in_words import date_words
from appreg.core.lean_dataclasses import dataclass
from appreg.tasks.draft_plan import DraftVisit, PlanDraft
from appreg.ui.widgets.table_columns import FieldColumn, Tone
from appreg.ui.widgets.week_strip import VisitMark, WeekView

_WEEKDAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_BAR: Final = 12
"""Cells of a whole day's work."""
FULL: Final = "█"
REST: Final = "░"
BEYOND: Final = "►"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRow:
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
    FieldColumn(
        key="minutes",
        title="min",
        min_width=4,
        number=True,
        text=lambda row: str(row.draft.visit.minutes),
        order=lambda row: row.draft.visit.minutes,
    ),
    FieldColumn(
        key="items",
        title="items",
        min_width=5,
        number=True,
        text=lambda row: str(len(row.draft.visit.inspections)),
        order=lambda row: len(row.draft.visit.inspections),
        priority=1,
    ),
    FieldColumn(
        key="early",
        title="early",
        min_width=5,
        number=True,
        text=lambda row: str(_early(row)),
        order=_early,
        priority=2,
    ),
    FieldColumn(
        key="late",
        title="late",
        min_width=4,
        number=True,
        tone=late_tone,
        text=lambda row: str(row.late or ""),
        order=lambda row: row.late,
        priority=1,
    ),
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
