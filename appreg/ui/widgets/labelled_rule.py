"""A rule across the screen with words let into it at both ends."""

from rich.cells import cell_len
from textual.content import Content

from appreg.core.values.text import shown
from appreg.ui.shell.place_line import fitted

_LINE = "─"


def labelled_rule(left: str, right: str, width: int, *, style: str = "") -> Content:
    """Draw the rule in so many cells; where they meet, the left words give way, but never more than half of it."""
    ends = [fitted(shown(right), width // 2 - 4) if right else ""]
    taken = cell_len(ends[0]) + 4 if ends[0] else 0
    ends.insert(0, fitted(shown(left), width - taken - 4) if left else "")
    parts: list[str | tuple[str, str]] = []
    used = 0
    for place, words in enumerate(ends):
        if not words:
            continue
        before = 1 if place == 0 else max(width - used - cell_len(words) - 3, 0)
        parts += [(_LINE * before, "$rule"), (f" {words} ", style)]
        used += before + cell_len(words) + 2
    parts.append((_LINE * max(width - used, 0), "$rule"))
    return Content.assemble(*parts)
