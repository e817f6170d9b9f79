"""The columns of a list of items; their keys are those the register sorts by."""

from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.values.outcomes import Outcome
from appreg.register.lists.row_windows import DAMAGED, ITEM_COLUMNS
from appreg.ui.lists.register_rows import NEVER, STATED
from appreg.ui.lists.table_columns import Column, Tone

_OUTCOME_TONES: Final = {
    Outcome.PASS.value: Tone.GOOD,
    Outcome.FAIL.value: Tone.BAD,
    Outcome.INCOMPLETE.value: Tone.WARN,
    NEVER: Tone.WARN,
    STATED: Tone.WARN,
    DAMAGED: Tone.BAD,
}


def outcome_tone(words: str) -> Tone:
    """The tone of the latest outcome."""
    return _OUTCOME_TONES.get(words, Tone.QUIET)


def state_tone(words: str) -> Tone:
    """Mark what is not in service."""
    if words == DAMAGED:
        return Tone.BAD
    return Tone.PLAIN if words == ServiceState.IN_SERVICE.value else Tone.WARN


_WIDTHS: Final[dict[str, Column]] = {
    column.key: column
    for column in (
        Column(key="tag", title="tag", min_width=8, max_width=14),
        Column(key="name", title="item", min_width=16, max_width=40, filed="item"),
        Column(key="class", title="class", min_width=9, max_width=15, priority=6),
        Column(key="type", title="type", min_width=10, max_width=14, priority=7),
        Column(key="site", title="site", min_width=14, max_width=30, priority=2),
        Column(key="location", title="location", min_width=12, max_width=24, priority=3),
        Column(key="last_date", title="inspected", min_width=11, priority=5, day=True),
        Column(key="outcome", title="outcome", min_width=10, tone=outcome_tone, filed="last_outcome"),
        Column(key="next_visual", title="next look", min_width=11, priority=8, day=True),
        Column(key="next_test", title="next test", min_width=11, priority=4, day=True),
        Column(key="state", title="state", min_width=10, tone=state_tone, priority=1),
    )
}

ITEM_LIST: Final = tuple(_WIDTHS[key] for key in ITEM_COLUMNS)
"""In the order in which the register gives the cells."""
