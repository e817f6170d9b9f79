"""What a document says of characters that its typeface lacks, so that nobody takes a box for what was written."""

import unicodedata
from collections.abc import Collection, Iterable, Mapping
from itertools import groupby
from typing import Final

BOXES_HEAD: Final = "Characters that are not drawn"
BOXES: Final = (
    "Boxes stand for characters that the typeface of this document lacks. They stay in the text of the file, where a reader "
    "finds and copies them. By number in Unicode they are:"
)
_NUMBERED: Final = 12
"""Of one script; of more, the first and how many others."""
_SCRIPTS: Final = 12
"""Scripts and signs that are named; of more, how many."""


def undrawn_sentences(undrawn: Mapping[str, Collection[int]], everywhere: Collection[str] = ()) -> list[str]:
    """Name the characters by script, with their numbers and where they are missing; nothing where none is.

    `everywhere` holds those in the foot or at the head of the pages.
    """
    told = sorted({*undrawn, *everywhere}, key=lambda each: (_script(each), each))
    if not told:
        return []
    lines = [_line(script, list(own), undrawn, everywhere) for script, own in groupby(told, _script)]
    more = [f"And {len(lines) - _SCRIPTS} other scripts and signs."] if len(lines) > _SCRIPTS else []
    return [BOXES, *lines[:_SCRIPTS], *more]


def _line(script: str, own: list[str], undrawn: Mapping[str, Collection[int]], everywhere: Collection[str]) -> str:
    numbers = ", ".join(f"{ord(each):04X}" for each in own[:_NUMBERED])
    others = f" and {len(own) - _NUMBERED} more" if len(own) > _NUMBERED else ""
    if any(each in everywhere for each in own):
        return f"{script}: {numbers}{others}, on every page"
    return f"{script}: {numbers}{others}, on {_pages({page for each in own for page in undrawn[each]})}"


def _script(character: str) -> str:
    """The script of a letter or of a mark on one, the name of a sign."""
    name = unicodedata.name(character, "without a name")
    if unicodedata.category(character)[0] not in "LM":
        return name.capitalize()
    script = name.split()[0].split("-")[0]
    return script if script == "CJK" else script.capitalize()


def _pages(pages: Iterable[int]) -> str:
    """Page 3, pages 1, 4–7."""
    runs: list[list[int]] = []
    for page in sorted(pages):
        if runs and page == runs[-1][-1] + 1:
            runs[-1].append(page)
        else:
            runs.append([page])
    words = ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else str(run[0]) for run in runs)
    return f"page {words}" if words.isdecimal() else f"pages {words}"
