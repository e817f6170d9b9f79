"""Seed a register with the general categories, and an older one with those that have come since."""

from typing import Final

from msgspec.structs import replace

from appreg.core.records.category_defaults import category_defaults
from appreg.core.records.kept_records import Category
from appreg.core.values.text import shown
from appreg.errors import RegisterUnusable
from appreg.register.history.journal import values_ever
from appreg.register.journal.journal_chain import AUTHOR
from appreg.register.opening.register_file import Register

_REASON: Final = "general categories that have come since"
_LONGEST_CODE: Final = 8
_NAMED: Final = 6
"""Names that the sentence about new categories gives."""


def seed_categories(register: Register, who: str) -> tuple[Category, ...]:
    """Add the general categories whose codes are not taken yet, in one change."""
    taken = {each.code for each in register.find(Category)}
    with register.change(who) as change:
        added = tuple(
            default.as_category(change.new_uid()) for default in category_defaults() if default.code not in taken
        )
        for category in added:
            change.put(category)
    return added


def seed_new_register(register: Register, who: str) -> tuple[Category, ...]:
    """Seed a register that has no category yet; one in use is left as its people made it."""
    return () if register.find(Category) else seed_categories(register, who)


def seed_later_categories(register: Register) -> tuple[Category, ...]:
    """Add the general categories that have come since the register was made, in one change of the program's own.

    None whose name ever stood in the journal, be it renamed or removed since, and none that a category of the user's
    goes by. A register that is damaged, or was never given the general categories as a whole, is left as it is.
    """
    try:
        return _added_later(register)
    except RegisterUnusable:
        # Opening says what is wrong with it; no list of kinds is worth standing in the way.
        return ()


def told_of_later(added: tuple[Category, ...]) -> str:
    """Say once which kinds of item are new; empty where none are."""
    if not added:
        return ""
    names = [shown(each.name) for each in added[:_NAMED]]
    more = f" and {len(added) - _NAMED} more" if len(added) > _NAMED else ""
    return f"New in the list of categories: {', '.join(names)}{more}."


def _added_later(register: Register) -> tuple[Category, ...]:
    present = register.find(Category)
    known = {_folded(word) for each in present for word in (each.name, *each.synonyms)}
    missing = [each for each in category_defaults() if _folded(each.name) not in known]
    if not missing:
        return ()
    ever = {_folded(str(name)) for name in values_ever(register, Category, "name")}
    if sum(_folded(each.name) in ever for each in category_defaults()) * 2 < len(category_defaults()):
        return ()
    new = [each for each in missing if _folded(each.name) not in ever]
    if not new:
        return ()
    codes = {each.code for each in present}
    added = []
    with register.change(AUTHOR, _REASON) as change:
        for default in new:
            category = default.as_category(change.new_uid())
            words = tuple(word for word in category.synonyms if _folded(word) not in known)
            added.append(replace(category, code=_free_code(category.code, codes), synonyms=words))
            codes.add(added[-1].code)
            change.put(added[-1])
    return tuple(added)


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())


def _free_code(code: str, taken: set[str]) -> str:
    """The code, or where another category has it, the same with the first figure behind it that is free."""
    figures = range(2, len(taken) + 3)
    others = (f"{code[: _LONGEST_CODE - len(str(figure))]}{figure}" for figure in figures)
    return next(each for each in (code, *others) if each not in taken)
