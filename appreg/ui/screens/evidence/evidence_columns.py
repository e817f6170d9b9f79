"""The lines of the Evidence screen: which items, how many failed, and what follows."""

from typing import Final

from appreg.core.work_records import IntervalKind
from appreg.schedule.evidence import Advice
from appreg.tasks.weigh_evidence import EvidenceGroup
from appreg.ui.widgets.table_columns import FieldColumn, Tone

KIND_WORDS: Final = {IntervalKind.VISUAL: "look", IntervalKind.TEST: "test"}
_TONES: Final = {
    Advice.LENGTHEN.value: Tone.GOOD,
    Advice.SHORTEN.value: Tone.BAD,
    Advice.TOO_LITTLE.value: Tone.QUIET,
}


def key_of(group: EvidenceGroup) -> str:
    """Name a line."""
    return "\n".join(group.key)


def advice_tone(words: str) -> Tone:
    """Give shortening the loudest tone."""
    return _TONES.get(words, Tone.PLAIN)


def limits_words(group: EvidenceGroup) -> str:
    """The limits on the failure rate, %."""
    limits = group.evidence.limits
    return f"{100 * limits.lower:.1f}-{100 * limits.upper:.1f}" if limits else "-"


def _rate(group: EvidenceGroup) -> str:
    rate = group.evidence.counts.rate
    return "" if rate is None else f"{100 * rate:.1f}"


EVIDENCE_COLUMNS: Final[tuple[FieldColumn[EvidenceGroup], ...]] = (
    FieldColumn(key="group", title="alike", min_width=14, max_width=30, text=lambda group: group.title),
    FieldColumn(
        key="environment",
        title="environment",
        min_width=13,
        max_width=34,
        text=lambda group: group.environment.partition(":")[0],
    ),
    FieldColumn(key="what", title="what", min_width=4, text=lambda group: KIND_WORDS[group.what]),
    FieldColumn(key="now", title="now", min_width=4, text=lambda group: group.now.short, order=lambda group: group.now),
    FieldColumn(
        key="made",
        title="made",
        min_width=5,
        number=True,
        text=lambda group: str(group.evidence.counts.inspections),
        order=lambda group: group.evidence.counts.inspections,
    ),
    FieldColumn(
        key="failed",
        title="fail",
        min_width=4,
        number=True,
        text=lambda group: str(group.evidence.counts.failures),
        order=lambda group: group.evidence.counts.failures,
    ),
    FieldColumn(
        key="rate",
        title="%",
        min_width=5,
        number=True,
        decimals=1,
        text=_rate,
        order=lambda group: group.evidence.counts.rate,
        priority=2,
    ),
    FieldColumn(key="limits", title="limits", min_width=10, text=limits_words, priority=4),
    FieldColumn(
        key="advice", title="answer", min_width=19, tone=advice_tone, text=lambda group: group.evidence.advice.value
    ),
    FieldColumn(
        key="then",
        title="then",
        min_width=4,
        text=lambda group: group.suggestion.short if group.suggestion else "",
        order=lambda group: group.suggestion,
        priority=1,
    ),
    FieldColumn(
        key="items",
        title="items",
        min_width=5,
        number=True,
        text=lambda group: str(len(group.items)),
        order=lambda group: len(group.items),
        priority=5,
    ),
)
