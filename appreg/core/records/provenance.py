"""Which facts of an item are assumed from its category, and which somebody has read or measured on the item itself."""

from collections.abc import Iterable, Mapping
from typing import Final

from msgspec.structs import replace

from appreg.core.records.appliances import Fact
from appreg.core.records.kept_records import Appliance, Category

FIELDS: Final[Mapping[Fact, tuple[str, ...]]] = {
    Fact.CLASS: ("appliance_class",),
    Fact.TYPE: ("equipment_type",),
    Fact.CORD_SIZE: ("cord_csa_mm2",),
    Fact.CORD_LENGTH: ("cord_length_m",),
    Fact.HEATING: ("heating", "mineral_insulated"),
    Fact.POWER: ("power_w",),
    Fact.FUSE: ("fuse_a",),
    Fact.VOLTAGE: ("rated_volts",),
    Fact.PHASES: ("phases",),
    Fact.RCD: ("rcd", "rcd_mounting"),
    Fact.RCD_RATING: ("rcd_rating_ma",),
    Fact.CONNECTION: ("connection", "battery"),
    Fact.UNEARTHED_METAL: ("unearthed_metal",),
    Fact.FUNCTIONAL_EARTH: ("functional_earth",),
}
"""By fact: the fields of item and category that hold it."""


SECOND: Final = frozenset({Fact.UNEARTHED_METAL, Fact.FUNCTIONAL_EARTH})
"""Facts that only add a check: where nobody says them of an item nothing is assumed of it."""


def given_by(category: Category) -> tuple[Fact, ...]:
    """The facts that a category gives an item of its kind."""
    return tuple(fact for fact in Fact if any(_says(getattr(category, name), fact) for name in FIELDS[fact]))


def assumed_of(item: Appliance, category: Category | None) -> tuple[Fact, ...]:
    """The assumed facts of an item; where none were ever stated, those that equal what its category gives."""
    if item.assumed is not None:
        return tuple(fact for fact in Fact if fact.value in item.assumed)
    if category is None:
        return ()
    measured = measured_of(item)
    return tuple(fact for fact in given_by(category) if fact not in measured and _equal(item, category, fact))


def assuming(item: Appliance, facts: Iterable[Fact]) -> Appliance:
    """The item with exactly these facts assumed."""
    chosen = set(facts)
    return replace(item, assumed=tuple(fact.value for fact in Fact if fact in chosen))


def measured_of(item: Appliance) -> tuple[Fact, ...]:
    """The facts that somebody has measured on the item: neither what is said to be assumed, nor what is not known."""
    said = set(item.measured) - set(item.assumed or ())
    return tuple(fact for fact in Fact if fact.value in said and _is_known(item, fact))


def measuring(item: Appliance, facts: Iterable[Fact]) -> Appliance:
    """The item with these facts measured beside those that were, and none of them assumed any more."""
    new = set(facts)
    chosen = {*measured_of(item), *new}
    assumed = None if item.assumed is None else tuple(each for each in item.assumed if each not in new)
    return replace(item, measured=tuple(fact.value for fact in Fact if fact in chosen), assumed=assumed)


def left_assumed(facts: Iterable[Fact], given: Iterable[str]) -> tuple[Fact, ...]:
    """The facts of which no field is among those that somebody gave."""
    names = set(given)
    return tuple(fact for fact in facts if names.isdisjoint(FIELDS[fact]))


def still_measured(before: Appliance, after: Appliance) -> Appliance:
    """The changed item: of what was measured only what is unchanged."""
    kept = tuple(fact.value for fact in measured_of(after) if _unchanged(before, after, fact))
    return replace(after, measured=kept)


def _unchanged(before: Appliance, after: Appliance, fact: Fact) -> bool:
    return all(getattr(before, name) == getattr(after, name) for name in FIELDS[fact])


def after_change(before: Appliance, after: Appliance, category: Category | None) -> Appliance:
    """The changed item: what was changed is read, what its category gave before the change stays assumed.

    `category` is the one it had before; a change of what is assumed is left as it is made.
    """
    after = still_measured(before, after)
    if after.assumed != before.assumed:
        return after
    assumed = assumed_of(before, category)
    changed = [name for names in FIELDS.values() for name in names if getattr(before, name) != getattr(after, name)]
    left = left_assumed(assumed, changed)
    if before.assumed is None and not assumed:
        return after
    return assuming(after, left)


def _is_known(item: Appliance, fact: Fact) -> bool:
    return any(getattr(item, name) is not None for name in FIELDS[fact])


def _says(value: object, fact: Fact) -> bool:
    return bool(value) if fact in SECOND else value not in {None, ()}


def _equal(item: Appliance, category: Category, fact: Fact) -> bool:
    return all(getattr(item, name) == getattr(category, name) for name in FIELDS[fact])
