"""Facts of an item that cannot all be so: where they stand together, nothing passes."""

from typing import Final

from appreg.core.appliances import ApplianceClass, Connection, ItemFacts

EXTRA_LOW_VOLTS: Final = 120
"""Above this no supply is extra-low, a.c. or d.c. (common practice)."""


def contradiction(facts: ItemFacts) -> str:
    """Which facts contradict each other, in words; empty where none do."""
    volts = facts.rated_volts
    if facts.appliance_class is ApplianceClass.CLASS_III and volts is not None and volts > EXTRA_LOW_VOLTS:
        return f"Class III at {volts} V"
    if facts.appliance_class is ApplianceClass.CLASS_III and facts.phases > 1:
        return f"Class III on {facts.phases} phases"
    if facts.mineral_insulated and not facts.heating:
        return "mineral-insulated elements in what does not heat"
    return _of_a_lead(facts) or _on_a_battery(facts) or _of_an_earth(facts)


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


def _on_a_battery(facts: ItemFacts) -> str:
    against = {
        "a residual current device on a battery": facts.is_rcd or facts.rcd is not None,
        f"{facts.phases} phases on a battery": facts.phases > 1,
        "a functional earth on a battery": facts.functional_earth,
    }
    battery = facts.connection is Connection.BATTERY
    return next((words for words, so in against.items() if battery and so), "")


def _of_an_earth(facts: ItemFacts) -> str:
    first = facts.appliance_class is ApplianceClass.CLASS_I
    return "Class I, whose earth protects, with a functional earth" if first and facts.functional_earth else ""
