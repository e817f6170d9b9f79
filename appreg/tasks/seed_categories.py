"""Seed a register with the general categories."""

from appreg.core.category_defaults import category_defaults
from appreg.core.records import Category
from appreg.register.register_file import Register


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
