"""Let a category answer to another name that people type for it."""

from msgspec.structs import replace

from appreg.core.records.category_defaults import filled
from appreg.core.records.kept_records import Category
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.records.change_record import change_record


def keep_name(register: Register, who: str, *, category: Uid, name: str) -> Category:
    """Add a name to those of a category; raises InputRefused where it is empty, or names another category already."""
    words = " ".join(clean(name, field="name").split())
    if not words:
        raise InputRefused("name: nothing is typed; type what people call it.", field="name")
    text = words.casefold()
    for each in register.find(Category):
        if text in {each.name.casefold(), each.code.casefold(), *(other.casefold() for other in filled(each).synonyms)}:
            if each.uid == category:
                return each
            raise InputRefused(f"name: “{words}” is {each.name} here already; choose another.", field="name")
    was = register.get(Category, category)
    return change_record(register, who, replace(was, synonyms=(*filled(was).synonyms, words)), opened=was)
