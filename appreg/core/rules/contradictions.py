"""Facts of an item that cannot all be so: where they stand together, nothing passes."""

from collections.abc import Iterator
from typing import Final

from appreg.core.records.appliances import ApplianceClass, Connection, ItemFacts

EXTRA_LOW_VOLTS: Final = 120
"""Above this no supply is extra-low, a.c. or d.c. (common practice)."""

ALWAYS_EXTRA_LOW_VOLTS: Final = 50
"""Up to this every supply is extra-low, and what it feeds is of Class III (common practice)."""


def contradiction(facts: ItemFacts) -> str:
    """Which facts contradict each other, in words; empty where none do."""
    if against := _of_a_lead(facts):
        return against
    battery = facts.connection is Connection.BATTERY
    if battery and facts.appliance_class is ApplianceClass.CLASS_I:
        return "Class I on a battery, which brings no earth"
    if battery or facts.appliance_class is ApplianceClass.CLASS_III:
        what = "on a battery" if battery else facts.appliance_class.label
        if against := next((f"{what} {with_what}" for with_what in _of_mains(facts)), ""):
            return against
    known = facts.appliance_class is not ApplianceClass.UNKNOWN
    low = known and facts.appliance_class is not ApplianceClass.CLASS_III and not battery
    if low and facts.rated_volts is not None and facts.rated_volts <= ALWAYS_EXTRA_LOW_VOLTS:
        return f"{facts.appliance_class.label} at {facts.rated_volts} V, which is extra-low"
    if facts.mineral_insulated and not facts.heating:
        return "mineral-insulated elements in what does not heat"
    return _of_an_earth(facts)


def _of_a_lead(facts: ItemFacts) -> str:
    if not facts.equipment_type.is_lead:
        return ""
    lead, third = facts.equipment_type.label, facts.appliance_class is ApplianceClass.CLASS_III
    against = {
        f"{lead} on a battery": facts.connection is Connection.BATTERY,
        f"{lead} that is hard-wired": facts.connection is Connection.HARD_WIRED,
        f"{lead} of Class III; Class I is one of three cores, Class II of two": third,
        f"{lead} with a functional earth": facts.functional_earth,
        f"{lead} that is a microwave oven": facts.microwave,
    }
    return next((words for words, so in against.items() if so), "")


def _of_an_earth(facts: ItemFacts) -> str:
    if not facts.functional_earth:
        return ""
    if facts.connection is Connection.BATTERY:
        return "a functional earth on a battery"
    first = facts.appliance_class is ApplianceClass.CLASS_I
    return "Class I, whose earth protects, with a functional earth" if first else ""


def _of_mains(facts: ItemFacts) -> Iterator[str]:
    """What an item has that only an item fed by the mains can have."""
    if facts.rated_volts is not None and facts.rated_volts > EXTRA_LOW_VOLTS:
        yield f"at {facts.rated_volts} V"
    if facts.is_rcd or facts.rcd is not None:
        yield "with a residual current device"
    if facts.fuse_a is not None:
        yield "with a fuse in a mains plug"
    if facts.phases > 1:
        yield f"with {facts.phases} phases"
