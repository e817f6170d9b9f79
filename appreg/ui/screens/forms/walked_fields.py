"""The fields beside the name on the walk-round's line, typed short: `II`, `stat`, `0.75 x 0.8`, `13`, `2.2 kW`."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, EquipmentType, Fact
from appreg.core.records.kept_records import Appliance
from appreg.core.values.typed_values import decimal_typed, power_typed
from appreg.errors import InputRefused
from appreg.tasks.records.item_fields import WalkedFields

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
_METAL: Final = "metal"
_FUNCTIONAL: Final = "fe"
_NEITHER: Final = "-"
"""Behind a class: metal that is not earthed on Class I, the functional earth of Class II, neither of both."""
_MEASURED: Final = "measured"
_TIMES: Final = re.compile(r"\s*[x×*]\s*")
_KILOWATT: Final = 1000
_NONE: Final = "-"
"""Typed for a fuse: there is none, as the field shows it."""


class ShortField(Struct, frozen=True):
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
        word, _, beside = text.partition(" ")
        if word not in _CLASSES or beside.strip() not in {"", _NEITHER, _METAL, _FUNCTIONAL}:
            raise InputRefused(
                f"class: “{typed['class'].strip()}” is none; type 1, 2, 3 or ? where it is not known, "
                f"1 {_METAL} with metal that is not earthed, 2 {_FUNCTIONAL} with a functional earth."
            )
        fields["appliance_class"] = _CLASSES[word]
        if beside := beside.strip():
            fields["unearthed_metal"], fields["functional_earth"] = beside == _METAL, beside == _FUNCTIONAL
    if text := typed["type"].strip().casefold():
        fields["equipment_type"] = _type_of(text)
    if typed["cord"].strip():
        _read_cord(typed["cord"].strip(), fields)
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
    beside = f" {_METAL}" if item.unearthed_metal else f" {_FUNCTIONAL}" if item.functional_earth else ""
    cord = "-" if item.cord_csa_mm2 is None else f"{item.cord_csa_mm2} × {item.cord_length_m or '?'}"
    return {
        "class": _class_shown(item.appliance_class) + beside,
        "type": item.equipment_type.label,
        "cord": cord,
        "fuse": "-" if item.fuse_a is None else f"{item.fuse_a} A",
        "power": _power_shown(item.power_w),
    }


def _class_shown(known: ApplianceClass) -> str:
    return "?" if known is ApplianceClass.UNKNOWN else known.label.split()[-1]


def _power_shown(watts: int | None) -> str:
    if watts is None:
        return "-"
    return f"{watts} W" if watts < _KILOWATT else f"{Decimal(watts) / _KILOWATT} kW"


def _read_cord(text: str, fields: WalkedFields) -> None:
    rest, measured = text.removesuffix(_MEASURED).strip(), text.endswith(_MEASURED)
    size, length = _cord_of(rest) if rest else (None, None)
    if rest:
        fields["cord_csa_mm2"], fields["cord_length_m"] = size, length
    if measured:
        only_size = size is not None and length is None
        fields["measured"] = ((Fact.CORD_SIZE if only_size else Fact.CORD_LENGTH).value,)


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
