"""Facts of an item that cannot all be so: where they stand together, nothing passes."""

from collections.abc import Iterator
from typing import Final

from appreg.core.appliances import ApplianceClass, Connection, ItemFacts

EXTRA_LOW_VOLTS: Final = 120
"""Above this no supply is extra-low, a.c. or d.c. (common practice)."""

ALWAYS_EXTRA_LOW_VOLTS: Final = 50
"""Up to this every supply is extra-low, and what it feeds is of Class III (common practice)."""


def contradiction(facts: ItemFacts) -> str:
    """Which facts contradict each other, in words; empty where none do."""
    battery = facts.connection is Connection.BATTERY
    if facts.equipment_type.is_lead and (battery or facts.connection is Connection.HARD_WIRED):
        return f"{facts.equipment_type.label} {'on a battery' if battery else 'that is hard-wired'}"
    if battery and facts.appliance_class is ApplianceClass.CLASS_I:
        return "Class I on a battery, which brings no earth"
    if battery or facts.appliance_class is ApplianceClass.CLASS_III:
        what = "on a battery" if battery else facts.appliance_class.label
        return next((f"{what} {with_what}" for with_what in _of_mains(facts)), "")
    known = facts.appliance_class is not ApplianceClass.UNKNOWN
    low = known and facts.rated_volts is not None and facts.rated_volts <= ALWAYS_EXTRA_LOW_VOLTS
    return f"{facts.appliance_class.label} at {facts.rated_volts} V, which is extra-low" if low else ""


def _of_mains(facts: ItemFacts) -> Iterator[str]:
    """What an item has that only an item fed by the mains can have."""
    if facts.rated_volts is not None and facts.rated_volts > EXTRA_LOW_VOLTS:
        yield f"at {facts.rated_volts} V"
    if facts.is_rcd or facts.rcd is not None:
        yield "with a residual current device"
    if facts.fuse_a is not None:
        yield "with a fuse in a mains plug"
