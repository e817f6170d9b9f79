"""The fields beside the name on the walk-round's line, typed short: `II`, `stat`, `0.75 x 0.8`, `13`, `2.2 kW`."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from appreg.core.appliances import ApplianceClass, EquipmentType
from appreg.core.lean_dataclasses import dataclass
from appreg.core.records import Appliance
from appreg.core.typed_values import decimal_typed, power_typed
from appreg.errors import InputRefused
from appreg.tasks.item_fields import WalkedFields

_CLASSES: Final = {
    "1": ApplianceClass.CLASS_I,
    "i": ApplianceClass.CLASS_I,
    "2": ApplianceClass.CLASS_II,
    "ii": ApplianceClass.CLASS_II,
    "3": ApplianceClass.CLASS_III,
    "iii": ApplianceClass.CLASS_III,
    "?": ApplianceClass.UNKNOWN,
    "unknown": ApplianceClass.UNKNOWN,
}
_TIMES: Final = re.compile(r"\s*[x×*]\s*")
_KILOWATT: Final = 1000
_NONE: Final = "-"
"""Typed for a fuse: there is none, as the field shows it."""


@dataclass(frozen=True, slots=True)
class ShortField:
    """One of the fields beside the name."""

    name: str
    label: str
    width: int
    """Cells."""


SHORT_FIELDS: Final = (
    ShortField("class", "class", 5),
    ShortField("type", "type", 14),
    ShortField("cord", "cord", 13),
    ShortField("fuse", "fuse", 5),
    ShortField("power", "power", 8),
)


def walked_fields(typed: Mapping[str, str]) -> WalkedFields:
    """Read what was typed beside the name; raises InputRefused beginning with the field's label."""
    fields = WalkedFields()
    if text := typed["class"].strip().casefold():
        if text not in _CLASSES:
            raise InputRefused(f"class: “{typed['class'].strip()}” is none; type 1, 2, 3 or ? where it is not known.")
        fields["appliance_class"] = _CLASSES[text]
    if text := typed["type"].strip().casefold():
        fields["equipment_type"] = _type_of(text)
    if typed["cord"].strip():
        fields["cord_csa_mm2"], fields["cord_length_m"] = _cord_of(typed["cord"])
    if typed["fuse"].strip() == _NONE:
        fields["fuse_a"] = None
    elif typed["fuse"].strip():
        fields["fuse_a"] = decimal_typed(typed["fuse"], field="fuse", units=("A",))
    if typed["power"].strip():
        fields["power_w"] = power_typed(typed["power"], field="power")
    return fields


def ghosts_of(item: Appliance | None) -> dict[str, str]:
    """What stands in each field as long as nothing is typed there: what the item would get."""
    if item is None:
        return {field.name: "" for field in SHORT_FIELDS}
    cord = "-" if item.cord_csa_mm2 is None else f"{item.cord_csa_mm2} × {item.cord_length_m or '?'}"
    return {
        "class": "?" if item.appliance_class is ApplianceClass.UNKNOWN else item.appliance_class.label.split()[-1],
        "type": item.equipment_type.label,
        "cord": cord,
        "fuse": "-" if item.fuse_a is None else f"{item.fuse_a} A",
        "power": _power_shown(item.power_w),
    }


def _power_shown(watts: int | None) -> str:
    if watts is None:
        return "-"
    return f"{watts} W" if watts < _KILOWATT else f"{Decimal(watts) / _KILOWATT} kW"


def _type_of(text: str) -> EquipmentType:
    found = [each for each in EquipmentType if each.label.casefold() == text]
    found = found or [each for each in EquipmentType if each.label.casefold().startswith(text)]
    if len(found) != 1:
        known = ", ".join(each.label for each in EquipmentType)
        raise InputRefused(f"type: “{text}” is not one type; begin it as in {known}.")
    return found[0]


def _cord_of(text: str) -> tuple[Decimal | None, Decimal | None]:
    parts = _TIMES.split(text.strip())
    if len(parts) > 2:  # noqa: PLR2004 - a size and a length
        raise InputRefused(f"cord: “{text.strip()}” is not understood; type size × length as in 0.75 x 0.8.")
    size = decimal_typed(parts[0], field="cord", units=("mm²", "mm2"))
    length = decimal_typed(parts[1], field="cord", units=("m",)) if len(parts) > 1 else None
    return size, length
