"""The general categories a new register starts with: typical values, to be changed where the plate says otherwise."""

import tomllib
from decimal import Decimal
from functools import cache
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, RcdKind, RcdMounting
from appreg.core.records.kept_records import Category
from appreg.core.values.toml_places import package_toml
from appreg.core.values.uids import Uid


class CategoryDefault(Struct, frozen=True, kw_only=True):
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
    rated_volts: int | None
    """None: the usual supply."""
    connection: Connection | None
    """None: as type and battery say."""
    rcd: RcdKind | None
    rcd_rating_ma: Decimal | None
    rcd_mounting: RcdMounting | None
    moulded_plug: bool
    synonyms: tuple[str, ...]
    visual_items: tuple[str, ...]
    """Ids of what to look at; empty: as its type has it."""
    scope: str
    """Which standard of its own governs such items, in words; empty: they belong here."""

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
            rated_volts=self.rated_volts,
            connection=self.connection,
            rcd=self.rcd,
            rcd_rating_ma=self.rcd_rating_ma,
            rcd_mounting=self.rcd_mounting,
            moulded_plug=self.moulded_plug,
            synonyms=self.synonyms,
            visual_items=self.visual_items,
            scope=self.scope,
        )


_LATER: Final = (
    "rated_volts",
    "connection",
    "rcd",
    "rcd_rating_ma",
    "rcd_mounting",
    "synonyms",
    "visual_items",
    "scope",
)
"""What categories of older registers do not say."""


def filled(category: Category) -> Category:
    """A category as the general one of the same code and name has it, where it says nothing itself."""
    general = next(
        (each for each in category_defaults() if (each.code, each.name) == (category.code, category.name)), None
    )
    if general is None:
        return category
    return replace(
        category, **{name: getattr(general, name) for name in _LATER if getattr(category, name) in {None, (), ""}}
    )


@cache
def category_defaults() -> tuple[CategoryDefault, ...]:
    """All general categories, in the order of their names."""
    rows = tomllib.loads(package_toml("categories.toml").text, parse_float=Decimal)["category"]
    return tuple(sorted((_default(row) for row in rows), key=lambda each: each.name))


def _default(row: dict[str, Any]) -> CategoryDefault:
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
        rated_volts=row.get("volts"),
        connection=Connection(row["connection"]) if "connection" in row else None,
        rcd=RcdKind(row["rcd"]) if "rcd" in row else None,
        rcd_rating_ma=_figure(row.get("rcd_ma")),
        rcd_mounting=RcdMounting(row["rcd_mounting"]) if "rcd_mounting" in row else None,
        moulded_plug=bool(row.get("moulded")),
        synonyms=tuple(row.get("synonyms", ())),
        visual_items=tuple(row.get("looks", ())),
        scope=str(row.get("scope", "")),
    )


def _figure(value: str | int | bool | Decimal | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))
