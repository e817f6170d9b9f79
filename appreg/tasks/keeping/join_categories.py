"""Make one of categories that are alike in everything: two registers made apart were each given the general ones."""

from collections.abc import Sequence

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Category
from appreg.core.records.work_records import IntervalOverride
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register

_NONE = Uid("")


def categories_alike(register: Register) -> tuple[tuple[Category, ...], ...]:
    """Groups of categories that differ in nothing but their keys, each in the order of keys.

    One for which an interval was set by hand is in none of them: it is not as the others are.
    """
    set_by_hand = {each.target for each in register.find(IntervalOverride)}
    groups: dict[Category, list[Category]] = {}
    for each in sorted(register.find(Category), key=lambda category: category.uid):
        if each.uid not in set_by_hand:
            groups.setdefault(replace(each, uid=_NONE), []).append(each)
    return tuple(tuple(group) for group in groups.values() if len(group) > 1)


def alike_besides(register: Register) -> frozenset[Uid]:
    """The keys of those that would go into others."""
    return frozenset(each.uid for group in categories_alike(register) for each in group[1:])


def join_categories(register: Register, who: str) -> int:
    """Let the items of each group go to the oldest of it and take the others out, in one change; return how many went."""
    groups = categories_alike(register)
    if not groups:
        return 0
    with register.change(who, "settled") as change:
        for kept, *others in groups:
            for other in others:
                for item in _items_of(register, other):
                    change.put(replace(item, category=kept.uid))
                change.remove(other)
    return sum(len(group) - 1 for group in groups)


def _items_of(register: Register, category: Category) -> Sequence[Appliance]:
    return register.find(Appliance, category=category.uid)
