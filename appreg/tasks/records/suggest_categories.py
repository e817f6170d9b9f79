"""Suggest categories for what is being typed."""

from collections.abc import Iterable
from enum import IntEnum

from appreg.core.records.category_defaults import filled
from appreg.core.records.kept_records import Category
from appreg.register.opening.register_file import Register


class Likeness(IntEnum):
    """How a category answers to a typed text, the likeliest first."""

    CODE = 0
    NAME = 1
    """The text is its name, or another that people type for it."""
    BEGINNING = 2
    """The text is how its name begins."""
    OTHER_BEGINNING = 3
    """The text is how another name for it begins."""
    BEGINNINGS = 4
    """Each typed word begins a word of its name."""
    CONTAINED = 5
    """Its name is among the typed words: `blue kettle`."""


def certain_category(categories: Iterable[Category], typed: str) -> Category | None:
    """The category that a text names beyond doubt: by code, by name, or by the beginning of one name only.

    Anything looser has to be asked: a cooker hood is no cooker.
    """
    text = " ".join(typed.casefold().split())
    ranked = [(_likeness(each, text), each) for each in likely(categories, typed)]
    if not ranked or (ranked[0][0] or Likeness.CODE) > Likeness.OTHER_BEGINNING:
        return None
    alike = [each for likeness, each in ranked if likeness is ranked[0][0]]
    return alike[0] if len(alike) == 1 else None


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
    others = [each.casefold() for each in filled(category).synonyms]
    typed, own = text.split(), name.split()
    answers = {
        Likeness.CODE: category.code.casefold() == text,
        Likeness.NAME: text in {name, *others},
        Likeness.BEGINNING: name.startswith(text),
        Likeness.OTHER_BEGINNING: any(each.startswith(text) for each in others),
        Likeness.BEGINNINGS: all(any(word.startswith(part) for word in own) for part in typed),
        Likeness.CONTAINED: set(own) <= set(typed),
    }
    return next((likeness for likeness, answer in answers.items() if answer), None)
