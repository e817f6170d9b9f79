"""Suggest categories for what is being typed."""

from collections.abc import Iterable
from enum import IntEnum

from appreg.core.records import Category
from appreg.register.register_file import Register


class Likeness(IntEnum):
    """How a category answers to a typed text, the likeliest first."""

    CODE = 0
    NAME = 1
    BEGINNING = 2
    """The text is how its name begins."""
    BEGINNINGS = 3
    """Each typed word begins a word of its name."""
    CONTAINED = 4
    """Its name is among the typed words: `blue kettle`."""


def suggest_categories(register: Register, typed: str, limit: int = 5) -> list[Category]:
    """Categories that the typed text may mean, the likeliest first."""
    return likely(register.find(Category), typed)[:limit]


def likely(categories: Iterable[Category], typed: str) -> list[Category]:
    """Those that answer to the text, the likeliest first; pure."""
    text = " ".join(typed.casefold().split())
    if not text:
        return []
    ranked = []
    for each in categories:
        likeness = _likeness(each, text)
        if likeness is not None:
            # Of names contained in the text the longest says most; else the shortest is nearest.
            length = -len(each.name) if likeness is Likeness.CONTAINED else len(each.name)
            ranked.append((likeness, length, each.name, each.uid, each))
    return [entry[-1] for entry in sorted(ranked, key=lambda entry: entry[:4])]


def _likeness(category: Category, text: str) -> Likeness | None:
    name = category.name.casefold()
    if category.code.casefold() == text:
        return Likeness.CODE
    if name == text:
        return Likeness.NAME
    if name.startswith(text):
        return Likeness.BEGINNING
    typed, own = text.split(), name.split()
    if all(any(word.startswith(part) for word in own) for part in typed):
        return Likeness.BEGINNINGS
    if set(own) <= set(typed):
        return Likeness.CONTAINED
    return None
