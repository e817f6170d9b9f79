"""A short prefix for the tags of a site, made from its name where none is given."""

import unicodedata
from collections.abc import Container
from typing import Final

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
