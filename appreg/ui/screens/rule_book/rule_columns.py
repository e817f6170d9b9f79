"""The figures of a rule book as a list: what, how much, under which condition, and how well it is known."""

from typing import Final

from appreg.core.rule_values import Basis, RuleValue
from appreg.ui.widgets.table_columns import FieldColumn, Tone

BASIS_WORDS: Final = {
    Basis.PUBLISHED: "published",
    Basis.SECOND_HAND: "second-hand",
    Basis.COMMON_PRACTICE: "common practice",
    Basis.MEMORY: "memory - check",
}
"""As the column shows it; what is only remembered asks to be checked."""

BASIS_SENTENCES: Final = {
    Basis.PUBLISHED: "Read in the published source itself.",
    Basis.SECOND_HAND: "Read in a book, sheet or lesson that cites the source.",
    Basis.COMMON_PRACTICE: "Common practice of the trade; no single source.",
    Basis.MEMORY: "From memory: check it against the source before you rely on it.",
}


def basis_tone(words: str) -> Tone:
    """Warn of what is only remembered; keep the rest quiet."""
    return Tone.WARN if words == BASIS_WORDS[Basis.MEMORY] else Tone.QUIET


def _number_first(value: RuleValue) -> tuple[int, float, str]:
    """Sort figures by size, and words after them."""
    first = value.value.split(",")[0].strip().lstrip("<>≤≥ ")
    try:
        return (0, float(first), value.value)
    except ValueError:
        return (1, 0.0, value.value)


RULE_COLUMNS: Final[tuple[FieldColumn[RuleValue], ...]] = (
    FieldColumn(key="title", title="what", min_width=22, max_width=44, text=lambda value: value.title),
    FieldColumn(
        key="value",
        title="value",
        min_width=12,
        max_width=30,
        text=lambda value: value.value,
        order=_number_first,
    ),
    FieldColumn(key="unit", title="unit", min_width=7, max_width=9, text=lambda value: value.unit),
    FieldColumn(
        key="condition", title="where", min_width=16, max_width=60, priority=2, text=lambda value: value.condition
    ),
    FieldColumn(
        key="basis",
        title="known from",
        min_width=15,
        tone=basis_tone,
        priority=1,
        text=lambda value: BASIS_WORDS[value.citation.basis],
        order=lambda value: list(Basis).index(value.citation.basis),
    ),
    FieldColumn(
        key="source", title="source", min_width=18, max_width=40, priority=3, text=lambda value: value.citation.source
    ),
    FieldColumn(
        key="edition",
        title="edition",
        min_width=12,
        max_width=30,
        priority=4,
        text=lambda value: value.citation.edition,
    ),
    FieldColumn(
        key="note", title="note", min_width=20, max_width=60, priority=5, text=lambda value: value.citation.note
    ),
    FieldColumn(key="key", title="key", min_width=24, max_width=50, priority=6, text=lambda value: value.key),
)
