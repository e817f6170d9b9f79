"""The columns of the list of kept copies."""

from typing import Final

from appreg.core.lean_dataclasses import dataclass
from appreg.tasks.list_copies import KeptCopy, kind_words, stamp_words
from appreg.ui.widgets.table_columns import FieldColumn, Tone

_MEGABYTE: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class ListedCopy:
    """A copy and where it stands."""

    copy: KeptCopy
    where: str


def size_words(size: int) -> str:
    """A file's bytes in megabytes."""
    return f"{size / _MEGABYTE:.1f} MB"


def _tone(kind: str) -> Tone:
    return Tone.BAD if kind == "not sound" else Tone.PLAIN


COPY_COLUMNS: Final[tuple[FieldColumn[ListedCopy], ...]] = (
    FieldColumn(
        key="made",
        title="made",
        min_width=20,
        text=lambda each: stamp_words(each.copy.name.made),
        order=lambda each: each.copy.name.made,
    ),
    FieldColumn(
        key="line",
        title="line",
        min_width=6,
        max_width=9,
        number=True,
        text=lambda each: str(each.copy.name.line or ""),
        order=lambda each: each.copy.name.line,
    ),
    FieldColumn(
        key="size",
        title="size",
        min_width=8,
        number=True,
        text=lambda each: size_words(each.copy.size),
        order=lambda each: each.copy.size,
    ),
    FieldColumn(
        key="kind", title="what it is", min_width=23, max_width=24, tone=_tone, text=lambda each: kind_words(each.copy)
    ),
    FieldColumn(key="where", title="where", min_width=13, max_width=22, text=lambda each: each.where, priority=1),
    FieldColumn(
        key="file", title="file", min_width=24, max_width=60, text=lambda each: each.copy.path.name, priority=2
    ),
)
