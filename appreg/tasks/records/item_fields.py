"""The fields of an item that a person may give by name."""

from decimal import Decimal
from typing import TypedDict

from appreg.core.records.appliances import (
    ApplianceClass,
    Connection,
    EquipmentType,
    Owner,
    RcdKind,
    RcdMounting,
    ServiceState,
)
from appreg.core.values.uids import Uid


class ItemFields(TypedDict, total=False):
    """Every field of an appliance but its key, place, name, category, tag, and what inspections leave behind."""

    make: str
    model: str
    serial: str
    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    cord_csa_mm2: Decimal | None
    cord_length_m: Decimal | None
    tinned: bool
    moulded_plug: bool
    fuse_a: Decimal | None
    power_w: int | None
    heating: bool
    microwave: bool
    rcd: RcdKind | None
    rcd_rating_ma: Decimal | None
    rcd_delay_ms: Decimal | None
    rcd_mounting: RcdMounting | None
    battery: bool
    rated_volts: int
    phases: int
    double_leakage: bool
    unsuitable_500v: bool
    flat_earth_limit_ohm: Decimal | None
    feeds: Uid | None
    longer_interval_reason: str
    state: ServiceState
    notes: str
    connection: Connection | None
    mineral_insulated: bool
    rated_current_a: Decimal | None
    owner: Owner | None
    assumed: tuple[str, ...] | None
    measured: tuple[str, ...]
    unearthed_metal: bool
    functional_earth: bool
    owner_name: str


class WalkedFields(ItemFields, total=False):
    """What may be given beside a typed line; it overrides what the line says."""

    category: Uid | None
    name: str
    tag: str
