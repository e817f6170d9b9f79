"""Text from people and files: cleaned when it comes in, made visible where it is already there.

Nothing here interprets markup: screens and paper must draw the result as plain text.
"""

import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from appreg.errors import InputRefused

LONGEST: Final = 400
"""Characters kept in one field; longer text belongs in a document of its own."""

_BIDI_CONTROLS: Final = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_LINE_BREAKS: Final = frozenset("\n\r\t\v\f\x85\u2028\u2029")
_KEPT_FORMAT: Final = frozenset("\u200c\u200d")
"""Joiners that scripts need; they move nothing."""
_INNER_JAMO: Final = frozenset(map(chr, range(0x1160, 0x1200)))
"""Vowels and final consonants of Hangul, drawn into the syllable that the letter before them begins."""
_HIDDEN: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
"""The general categories of characters that act, or that nobody sees."""
_CONTROL_PICTURES: Final = 0x2400
_REMEMBERED: Final = 1000
"""Texts, and characters, of which it is remembered how they are shown: a screen draws the same ones again and again."""
FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")


def clean(text: str, *, field: str, longest: int = LONGEST) -> str:
    """Return text fit to keep, trimmed; raises InputRefused naming the field and the character."""
    if len(text) <= longest and text.isascii() and text.isprintable():
        return text.strip()
    if "\x1b" in text:
        raise InputRefused("an escape character cannot be part of it; type it again without.", subject=field)
    kept = unicodedata.normalize("NFC", "".join(" " if c in _LINE_BREAKS else c for c in text)).strip()
    kept = "".join(c for c in kept if c not in _BIDI_CONTROLS)
    for place, character in enumerate(kept, 1):
        if is_hidden(character):
            raise InputRefused(
                f"character {place} (U+{ord(character):04X}) cannot be shown; remove it and try again.", subject=field
            )
    if len(kept) > longest:
        raise InputRefused(f"{len(kept)} characters are too many; keep it to {longest}.", subject=field)
    return kept.strip()


@lru_cache(_REMEMBERED)
def shown(text: str) -> str:
    """Return text safe for a terminal or a page: hidden characters become visible, none is dropped."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_visible(c) if is_hidden(c) else c for c in text)


@lru_cache(_REMEMBERED)
def is_hidden(character: str) -> bool:
    """Tell whether a character would act on a terminal or reorder a line instead of being seen."""
    return character not in _KEPT_FORMAT and unicodedata.category(character) in _HIDDEN


def has_half_characters(text: str) -> bool:
    """Tell whether a text holds half a character, as bytes come in that are no text."""
    return any("\ud800" <= each <= "\udfff" for each in text)


def without_hidden(characters: Iterable[str]) -> list[str]:
    """Those of many characters that are seen."""
    return [each for each in characters if each in _KEPT_FORMAT or unicodedata.category(each) not in _HIDDEN]


def columns_of(text: str) -> int:
    """How many columns of a terminal a shown text takes: wide letters two, marks above or below others none."""
    if text.isascii():
        return len(text)
    return sum(map(_columns, text))


def _columns(character: str) -> int:
    if character in _KEPT_FORMAT or unicodedata.category(character) in {"Mn", "Me"} or character in _INNER_JAMO:
        return 0
    return 2 if unicodedata.east_asian_width(character) in {"W", "F"} else 1


def _visible(character: str) -> str:
    if character <= "\x1f":
        return chr(_CONTROL_PICTURES + ord(character))
    if character == "\x7f":
        return "\u2421"
    return f"\u27e8{ord(character):04X}\u27e9"


def guarded_cell(text: str) -> str:
    """Prefix an apostrophe to a text cell that a spreadsheet would run (OWASP ASVS 1.2.10)."""
    return "'" + text if text.startswith((*FORMULA_STARTS, "'")) else text


def unguarded_cell(text: str) -> str:
    """Take off exactly the apostrophe that guarded_cell put before a text cell."""
    return text[1:] if text.startswith("'") and text[1:].startswith((*FORMULA_STARTS, "'")) else text
