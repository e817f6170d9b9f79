"""The general categories a new register starts with: typical values, to be changed where the plate says otherwise."""

import tomllib
from decimal import Decimal
from functools import cache

from appreg.core.appliances import ApplianceClass, EquipmentType
from appreg.core.lean_dataclasses import dataclass
from appreg.core.records import Category
from appreg.core.toml_places import package_toml
from appreg.core.uids import Uid


@dataclass(frozen=True, slots=True, kw_only=True)
class CategoryDefault:
    """A general category before a register has given it a key."""

    code: str
    name: str
    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    cord_csa_mm2: Decimal | None
    """mm²."""
    cord_length_m: Decimal | None
    """m."""
    fuse_a: Decimal | None
    """A."""
    power_w: int | None
    """W."""
    heating: bool
    microwave: bool
    unsuitable_500v: bool
    battery: bool

    def as_category(self, uid: Uid) -> Category:
        """The same as a record of a register."""
        return Category(
            uid=uid,
            code=self.code,
            name=self.name,
            appliance_class=self.appliance_class,
            equipment_type=self.equipment_type,
            cord_csa_mm2=self.cord_csa_mm2,
            cord_length_m=self.cord_length_m,
            fuse_a=self.fuse_a,
            power_w=self.power_w,
            heating=self.heating,
            microwave=self.microwave,
            unsuitable_500v=self.unsuitable_500v,
            battery=self.battery,
        )


@cache
def category_defaults() -> tuple[CategoryDefault, ...]:
    """All general categories, in the order of their names."""
    rows = tomllib.loads(package_toml("categories.toml").text, parse_float=Decimal)["category"]
    return tuple(sorted((_default(row) for row in rows), key=lambda each: each.name))


def _default(row: dict[str, str | int | bool | Decimal]) -> CategoryDefault:
    return CategoryDefault(
        code=str(row["code"]),
        name=str(row["name"]),
        appliance_class=ApplianceClass(str(row["class"])),
        equipment_type=EquipmentType(str(row["type"])),
        cord_csa_mm2=_figure(row.get("csa")),
        cord_length_m=_figure(row.get("length")),
        fuse_a=_figure(row.get("fuse")),
        power_w=int(row["watts"]) if "watts" in row else None,
        heating=bool(row.get("heating")),
        microwave=bool(row.get("microwave")),
        unsuitable_500v=bool(row.get("unsuitable_500v")),
        battery=bool(row.get("battery")),
    )


def _figure(value: str | int | bool | Decimal | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))
