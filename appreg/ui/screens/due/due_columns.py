"""The lines of the Due screen: when, what, which item, where, and why."""

from datetime import date
from typing import Final

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.schedule.due_states import DueState
from appreg.tasks.standing.due_lines import DueLine
from appreg.ui.lists.table_columns import FieldColumn, Tone, tag_column

_TONES: Final = {
    DueState.OVERDUE.value: Tone.BAD,
    DueState.REPAIR_LATE.value: Tone.BAD,
    DueState.DUE_SOON.value: Tone.WARN,
    DueState.NEVER.value: Tone.WARN,
}


def state_tone(words: str) -> Tone:
    """Give overdue the loudest tone, what is soon or never done the next."""
    return _TONES.get(words, Tone.PLAIN)


def days_tone(words: str) -> Tone:
    """Mark what lies in the past."""
    return Tone.BAD if words.startswith("-") else Tone.PLAIN


def key_of(line: DueLine) -> str:
    """Name a line: its item, and which of the two inspections or of its repairs."""
    return f"{line.appliance.uid} {line.what} {line.failure}".rstrip()


def _day(line: DueLine) -> str:
    return "never done" if line.due is None else date_words(line.due)


def in_full(line: DueLine) -> str:
    """A line in words: the item, where it is, how it stands, and why it is due."""
    return f"{line.appliance.tag} · {line.site.name}, {line.location.name} · {line.state.value}: {line.because}"


DUE_COLUMNS: Final[tuple[FieldColumn[DueLine], ...]] = (
    FieldColumn(
        key="due",
        title="due",
        min_width=11,
        text=_day,
        order=lambda line: line.due or date.max,
        value=lambda line: line.due,
        day=True,
    ),
    FieldColumn(
        key="what",
        title="what",
        min_width=4,
        text=lambda line: DUE_WORDS[line.what],
        priority=1,
        value=lambda line: line.what,
    ),
    tag_column(lambda line: line.appliance.tag),
    FieldColumn(key="item", title="item", min_width=14, max_width=30, text=lambda line: line.appliance.name),
    FieldColumn(key="site", title="site", min_width=12, max_width=28, text=lambda line: line.site.name, priority=2),
    FieldColumn(
        key="days",
        title="days",
        min_width=5,
        number=True,
        tone=days_tone,
        text=lambda line: "" if line.days is None else str(line.days),
        order=lambda line: line.days,
        priority=1,
    ),
    FieldColumn(key="because", title="because", min_width=14, max_width=46, text=lambda line: line.because, priority=4),
    FieldColumn(
        key="state", title="state", min_width=15, tone=state_tone, text=lambda line: line.state.value, priority=3
    ),
    FieldColumn(
        key="location", title="location", min_width=20, max_width=24, text=lambda line: line.location.name, priority=5
    ),
)
