"""The columns of the Sites screen: counts of items as figures, what is overdue and the next twelve months as a strip."""

from collections.abc import Callable
from typing import Final

from appreg.core.values.dates_in_words import date_words
from appreg.register.lists.due_lists import Counts
from appreg.tasks.records.list_sites import SiteLine
from appreg.ui.lists.table_columns import FieldColumn, Tone, plain

_BARS: Final = "▁▂▃▄▅▆▇█"
NONE: Final = "-"
UNCOUNTED: Final = "…"
OVERDUE: Final = "overdue"
"""The column by which the worst sites come first."""
STRIP_TITLE: Final = "late, 12 months"
_SILENT: Final = frozenset({NONE, UNCOUNTED})


def month_strip(overdue: int, months: tuple[int, ...]) -> str:
    """A bar for what is overdue, then one a month, the tallest full; nothing is a dot, and no month is nothing."""
    if not months:
        return ""
    most = max(overdue, *months)
    first, *bars = (_BARS[(count * len(_BARS) - 1) // most] if count else "·" for count in (overdue, *months))
    return f"{first}│{''.join(bars)}"


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
    filed: str = "",
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
        filed=filed,
        value=order,
        title=title or key,
        min_width=min_width,
        number=True,
        priority=priority,
        tone=tone,
        text=text,
        order=order,
    )


def _badness(counts: Counts) -> tuple[int, int]:
    """The more items are overdue the worse, and of as many the more inspections they wait for."""
    return counts.overdue, counts.overdue_inspections


def _oldest(counts: Counts | None) -> str:
    """The day since which something is overdue."""
    if counts is None:
        return UNCOUNTED
    return date_words(counts.oldest_overdue) if counts.oldest_overdue else NONE


def _share(counts: Counts | None) -> str:
    """Of the items in service, how many in a hundred are overdue."""
    if counts is None:
        return UNCOUNTED
    return f"{counts.overdue_share}%" if counts.overdue_share else NONE


SITE_COLUMNS: Final[tuple[FieldColumn[SiteLine], ...]] = (
    FieldColumn(key="site", title="site", min_width=18, max_width=36, text=lambda line: line.site.name),
    _counted("items", lambda counts: counts.items, min_width=5),
    FieldColumn(
        key=OVERDUE,
        filed="overdue_items",
        value=lambda line: line.counts.overdue if line.counts else None,
        title="overdue",
        min_width=7,
        number=True,
        tone=loud,
        text=lambda line: UNCOUNTED if line.counts is None else count_words(line.counts.overdue),
        order=lambda line: None if line.counts is None else _badness(line.counts),
    ),
    _counted("soon", lambda counts: counts.soon, min_width=5, filed="due_soon_items", tone=warm),
    _counted("failed", lambda counts: counts.failed, min_width=6, filed="failed_items", tone=loud),
    _counted("never", lambda counts: counts.never, min_width=5, filed="never_inspected_items", tone=warm),
    FieldColumn(
        key="months",
        in_files=False,
        title=STRIP_TITLE,
        min_width=len(STRIP_TITLE),
        priority=1,
        text=lambda line: month_strip(line.counts.overdue if line.counts else 0, line.months) or UNCOUNTED,
        order=lambda line: sum(line.months) if line.months else None,
    ),
    FieldColumn(
        key="oldest",
        filed="oldest_overdue",
        value=lambda line: line.counts.oldest_overdue if line.counts else None,
        day=True,
        title="oldest",
        min_width=11,
        priority=2,
        tone=loud,
        text=lambda line: _oldest(line.counts),
        order=lambda line: line.counts.oldest_overdue if line.counts else None,
    ),
    FieldColumn(
        key="share",
        filed="overdue_share",
        value=lambda line: line.counts.overdue_share if line.counts else None,
        title="share",
        min_width=5,
        priority=2,
        number=True,
        tone=loud,
        text=lambda line: _share(line.counts),
        order=lambda line: line.counts.overdue_share if line.counts else None,
    ),
    FieldColumn(
        key="responsible",
        title="responsible",
        min_width=14,
        max_width=28,
        priority=3,
        text=lambda line: line.site.responsible,
    ),
    _counted("withdrawn", lambda counts: counts.withdrawn, min_width=9, filed="withdrawn_items", priority=4),
    FieldColumn(
        key="client", title="client", min_width=16, max_width=32, priority=5, text=lambda line: line.client.name
    ),
    FieldColumn(key="prefix", title="prefix", min_width=6, priority=6, text=lambda line: line.site.prefix),
)
