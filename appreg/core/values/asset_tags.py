"""How long a tag may be, with what those of a site begin, and the one order of tags: the register keeps its key in a column, and all lists sort by it."""

import re
import unicodedata
from collections.abc import Container
from typing import Final

LONGEST_TAG: Final = 24
"""Characters that a label has room for."""
_FIGURES: Final = re.compile(r"0*([0-9]+)")
_LONG: Final = 9
"""From so many figures on, their count takes four more places."""
_END: Final = "\t"
"""Before all that a tag can hold: a tag stands before those that begin with it."""


def tag_order(tag: str) -> str:
    """A text that sorts KL-999 before KL-1000 and B2-3 before B10-3: figures by their value, letters as if all were small.

    Tags that differ only in capitals or leading noughts stand side by side, always in the same order.
    """
    return _FIGURES.sub(_by_value, tag.casefold()) + _END + tag


def _by_value(figures: re.Match[str]) -> str:
    count = len(figures[1])
    return f"{count if count < _LONG else f'{_LONG}{count:04}'}{figures[1]}"


_PARTS: Final = re.compile(r"[^\W\d_]+|[0-9]+")
"""What a tag is made of beside its separators."""
_FEWEST_PARTS: Final = 2
"""Letters and a figure."""


def loosely_typed(text: str) -> tuple[str, str] | None:
    """For what may be a tag without its separators or noughts, say hr7: how keys of tag_order begin, and what they are like.

    The second is a pattern of LIKE. None for a text that is no such tag: it has letters first and a figure.
    """
    parts = _PARTS.findall(text.casefold())
    if len(text.strip()) > LONGEST_TAG or len(parts) < _FEWEST_PARTS or not parts[0].isalpha():
        return None
    if not any(part.isdecimal() for part in parts):
        return None
    return parts[0], "%".join(_FIGURES.sub(_by_value, part) for part in parts) + _END + "%"


def without_separators(tag: str) -> str:
    """A tag as loosely_typed takes it: HR-007 is hr7."""
    return "".join(part.lstrip("0") or "0" for part in _PARTS.findall(tag.casefold()))


_LETTERS: Final = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_LONGEST: Final = 3


def prefix_from_name(name: str, taken: Container[str]) -> str:
    """The initials of a name, say HR for Harbour Row 14; lengthened or numbered until it is not taken."""
    plain = unicodedata.normalize("NFKD", name).upper()
    words = ["".join(c for c in word if c in _LETTERS) for word in plain.split()]
    words = [word for word in words if word]
    initials = "".join(word[0] for word in words)[:_LONGEST]
    letters = "".join(words) or "SITE"
    wanted = initials if len(initials) > 1 else letters[:2]
    for candidate in (wanted, letters[:_LONGEST], letters[:4]):
        if candidate not in taken:
            return candidate
    number = 2
    while f"{wanted}{number}" in taken:
        number += 1
    return f"{wanted}{number}"
