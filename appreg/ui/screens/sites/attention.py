"""What needs attention among the items of one site or of several, in one line."""

from collections.abc import Iterable

from textual.content import Content

from appreg.register.lists.due_lists import Counts

Share = tuple[str, int, str]
"""What is counted, how many there are, and the style where there are any."""


def shares_of(counts: Counts) -> tuple[Share, ...]:
    """What waits, the most urgent first."""
    return (
        ("overdue", counts.overdue, "bold $fail"),
        ("due soon", counts.soon, "$doubt"),
        ("failed", counts.failed, "bold $fail"),
        ("never inspected", counts.never, "$doubt"),
        *((("damaged", counts.damaged, "bold $fail"),) if counts.damaged else ()),
    )


def attention_line(head: str, shares: Iterable[Share]) -> Content:
    """The head, which says what is counted, then each count; what there is none of is quiet."""
    parts = [Content.styled(f"{words} {count}", style if count else "$quiet") for words, count, style in shares]
    return Content(f"{head}: ") + Content(" · ").join(parts)
