"""The labels that wait, as a list."""

from typing import Final

from appreg.core.dates_in_words import date_words
from appreg.core.records import LabelKind
from appreg.tasks.queue_labels import WaitingLabel
from appreg.ui.widgets.table_columns import FieldColumn, Tone, tag_column

LEFT_OUT: Final = "left out"
"""Stands for the kind of a label that is not printed as things stand."""


def kind_tone(words: str) -> Tone:
    """Do not use is bad news, pass good; what is not printed is doubtful."""
    if words == LEFT_OUT:
        return Tone.WARN
    return Tone.BAD if words == LabelKind.DO_NOT_USE.value else Tone.GOOD


def key_of(label: WaitingLabel) -> str:
    """Name a label."""
    return label.queued.uid


TRAY_COLUMNS: Final[tuple[FieldColumn[WaitingLabel], ...]] = (
    tag_column(lambda label: label.appliance.tag),
    FieldColumn(
        key="kind",
        title="label",
        min_width=10,
        tone=kind_tone,
        text=lambda label: LEFT_OUT if label.untrue else label.queued.kind.value,
    ),
    FieldColumn(
        key="item", title="item", min_width=12, max_width=24, priority=1, text=lambda label: label.appliance.name
    ),
    FieldColumn(key="site", title="site", min_width=12, max_width=24, priority=2, text=lambda label: label.site.name),
    FieldColumn(
        key="on",
        title="inspected",
        min_width=11,
        priority=3,
        text=lambda label: date_words(label.inspection.date),
        order=lambda label: label.inspection.date,
    ),
)
