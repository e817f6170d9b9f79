"""The columns of the Sites screen: counts as figures, the next twelve months as a strip."""

from collections.abc import Callable
from typing import Final

from appreg.register.lists.due_lists import Counts
from appreg.tasks.records.list_sites import SiteLine
from appreg.ui.lists.table_columns import FieldColumn, Tone, plain

_BARS: Final = "▁▂▃▄▅▆▇█"
NONE: Final = "-"
UNCOUNTED: Final = "…"
_SILENT: Final = frozenset({NONE, UNCOUNTED})


def month_strip(months: tuple[int, ...]) -> str:
    """One bar a month, the tallest full; a month without an inspection is a dot."""
    most = max(months, default=0)
    return "".join(_BARS[(count * len(_BARS) - 1) // most] if count else "·" for count in months)


def count_words(count: int) -> str:
    """A count, a dash for none, so that figures stand out."""
    return str(count) if count else NONE


def loud(words: str) -> Tone:
    """What is overdue or failed."""
    return Tone.QUIET if words in _SILENT else Tone.BAD


def warm(words: str) -> Tone:
    """What is due soon or was never inspected."""
    return Tone.QUIET if words in _SILENT else Tone.WARN


def _counted(
    key: str,
    count: Callable[[Counts], int],
    *,
    min_width: int,
    title: str = "",
    priority: int = 0,
    tone: Callable[[str], Tone] = plain,
) -> FieldColumn[SiteLine]:
    """A column of one count; until the items are counted it says so and has no place in the order."""

    def order(line: SiteLine) -> int | None:
        return None if line.counts is None else count(line.counts)

    def text(line: SiteLine) -> str:
        return UNCOUNTED if line.counts is None else count_words(count(line.counts))

    return FieldColumn(
        key=key,
        title=title or key,
        min_width=min_width,
        number=True,
        priority=priority,
        tone=tone,
        text=text,
        order=order,
    )


SITE_COLUMNS: Final[tuple[FieldColumn[SiteLine], ...]] = (
    FieldColumn(key="site", title="site", min_width=18, max_width=36, text=lambda line: line.site.name),
    _counted("items", lambda counts: counts.items, min_width=5),
    _counted("overdue", lambda counts: counts.overdue, min_width=7, tone=loud),
    _counted("soon", lambda counts: counts.soon, min_width=5, tone=warm),
    _counted("failed", lambda counts: counts.failed, min_width=6, tone=loud),
    _counted("never", lambda counts: counts.never, min_width=5, tone=warm),
    FieldColumn(
        key="months",
        title="next 12 months",
        min_width=14,
        priority=1,
        text=lambda line: month_strip(line.months) or UNCOUNTED,
        order=lambda line: sum(line.months) if line.months else None,
    ),
    _counted("withdrawn", lambda counts: counts.withdrawn, min_width=9, priority=2),
    FieldColumn(
        key="client", title="client", min_width=16, max_width=32, priority=3, text=lambda line: line.client.name
    ),
    FieldColumn(key="prefix", title="prefix", min_width=6, priority=4, text=lambda line: line.site.prefix),
)
