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
    if facts.connection is Connection.BATTERY and facts.equipment_type.is_lead:
        return f"{facts.equipment_type.label} on a battery"
    if facts.connection is Connection.HARD_WIRED and facts.equipment_type.is_lead:
        return f"{facts.equipment_type.label} that is hard-wired"
    if facts.connection is Connection.BATTERY and (facts.is_rcd or facts.rcd is not None):
        return "a residual current device on a battery"
    return ""
