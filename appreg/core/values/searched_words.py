"""How words are searched for: what counts as a word, and how one typed word stands in a text."""

import unicodedata
from collections.abc import Sequence
from typing import Final

_BETWEEN: Final = " | "
"""Between the words of two texts, so that no phrase runs from one into the other."""


def words_of(text: str) -> list[str]:
    """The words of a text as they are searched for: letters and figures, small, without accents."""
    plain = text.lower() if text.isascii() else unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(
        each if each.isalnum() else " " for each in plain if each.isascii() or not unicodedata.combining(each)
    )
    return kept.split()


def searched_words(*texts: str) -> str:
    """All words of some texts in one, in which those that stand side by side can be found side by side."""
    return _BETWEEN.join(" ".join(words) for text in texts if (words := words_of(text)))


def begins_in(words: Sequence[str], searched: str) -> bool:
    """Tell whether words stand side by side in what searched_words gave, the last of them as the start of a word."""
    return f" {' '.join(words)}" in f" {searched}"


def small_ascii(text: str) -> str:
    """With small letters for the capitals of ASCII alone, as both databases compare parts of words."""
    return text.lower() if text.isascii() else "".join(each.lower() if each.isascii() else each for each in text)
