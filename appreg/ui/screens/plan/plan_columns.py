"""The lines of the Plan screen: when, how long against the day, how much work, and where."""

from typing import Final

from appreg.core.dates_in_words import date_words
from appreg.core.lean_dataclasses import dataclass
from appreg.tasks.draft_plan import DraftVisit
from appreg.ui.widgets.table_columns import FieldColumn, Tone

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
