"""What needs attention among the items of one site or of several, in one line."""

from collections.abc import Iterable

from textual.content import Content

from appreg.core.values.counted_words import counted, items_and_inspections
from appreg.register.lists.due_lists import Counts

Share = tuple[str, bool, str]
"""A count in words, whether there are any, and the style where there are."""


def shares_of(counts: Counts) -> tuple[Share, ...]:
    """What waits, the most urgent first; each says what it counts."""
    late = items_and_inspections(counts.overdue, counts.overdue_inspections)
    near = items_and_inspections(counts.soon, counts.soon_inspections, kind="more" if counts.overdue else "")
    return (
        (f"overdue {late}", counts.overdue > 0, "bold $fail"),
        (f"due soon {near}", counts.soon_inspections > 0, "$doubt"),
        share_of_items("failed", counts.failed, "bold $fail"),
        share_of_items("never inspected", counts.never, "$doubt"),
        *((share_of_items("damaged", counts.damaged, "bold $fail"),) if counts.damaged else ()),
    )


def share_of_items(words: str, count: int, style: str) -> Share:
    """A count of items."""
    return f"{words} {counted(count, 'item')}", count > 0, style


def attention_line(head: str, shares: Iterable[Share]) -> Content:
    """The head, then each count; what there is none of is quiet."""
    parts = [Content.styled(words, style if there else "$quiet") for words, there, style in shares]
    return Content(f"{head}: ") + Content(" · ").join(parts)
