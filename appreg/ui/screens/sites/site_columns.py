"""The columns of the Sites screen: counts as figures, the next twelve months as a strip."""

from typing import Final

from appreg.tasks.list_sites import SiteLine
from appreg.ui.widgets.table_columns import FieldColumn, Tone

_BARS: Final = "▁▂▃▄▅▆▇█"
NONE: Final = "-"


def month_strip(months: tuple[int, ...]) -> str:
    """One bar a month, the tallest full; a month without an inspection is a dot."""
    most = max(months, default=0)
    return "".join(_BARS[(count * len(_BARS) - 1) // most] if count else "·" for count in months)


def count_words(count: int) -> str:
    """A count, a dash for none, so that figures stand out."""
    return str(count) if count else NONE


def loud(words: str) -> Tone:
    """What is overdue or failed."""
    return Tone.QUIET if words == NONE else Tone.BAD


def warm(words: str) -> Tone:
    """What is due soon or was never inspected."""
    return Tone.QUIET if words == NONE else Tone.WARN


SITE_COLUMNS: Final[tuple[FieldColumn[SiteLine], ...]] = (
    FieldColumn(key="site", title="site", min_width=18, max_width=36, text=lambda line: line.site.name),
    FieldColumn(
        key="items",
        title="items",
        min_width=5,
        number=True,
        text=lambda line: count_words(line.items),
        order=lambda line: line.items,
    ),
    FieldColumn(
        key="overdue",
        title="overdue",
        min_width=7,
        number=True,
        tone=loud,
        text=lambda line: count_words(line.overdue),
        order=lambda line: line.overdue,
    ),
    FieldColumn(
        key="soon",
        title="soon",
        min_width=5,
        number=True,
        tone=warm,
        text=lambda line: count_words(line.soon),
        order=lambda line: line.soon,
    ),
    FieldColumn(
        key="failed",
        title="failed",
        min_width=6,
        number=True,
        tone=loud,
        text=lambda line: count_words(line.failed),
        order=lambda line: line.failed,
    ),
    FieldColumn(
        key="never",
        title="never",
        min_width=5,
        number=True,
        tone=warm,
        text=lambda line: count_words(line.never),
        order=lambda line: line.never,
    ),
    FieldColumn(
        key="months",
        title="next 12 months",
        min_width=14,
        priority=1,
        text=lambda line: month_strip(line.months),
        order=lambda line: sum(line.months),
    ),
    FieldColumn(
        key="withdrawn",
        title="withdrawn",
        min_width=9,
        number=True,
        priority=2,
        text=lambda line: count_words(line.withdrawn),
        order=lambda line: line.withdrawn,
    ),
    FieldColumn(
        key="client", title="client", min_width=16, max_width=32, priority=3, text=lambda line: line.client.name
    ),
    FieldColumn(key="prefix", title="prefix", min_width=6, priority=4, text=lambda line: line.site.prefix),
)
