"""From what the register keeps of an item to what a rule book needs to know of it."""

from decimal import Decimal
from typing import Final

from appreg.core.records.appliances import ApplianceClass, Connection, Cord, EquipmentType, ItemFacts
from appreg.core.records.kept_records import Appliance, Category
from appreg.core.records.provenance import assumed_of, measured_of
from appreg.core.rules.interval_tables import EquipmentKey

WATTS_IN_KW: Final = Decimal(1000)


def facts_of(item: Appliance, category: Category | None = None) -> ItemFacts:
    """The facts that limits depend on; a cord of which size or length is not known counts as not known.

    `category` is the item's own: by it older items tell which of their facts are assumed.
    """
    # What only asks for intervals must not wait for limits and categories.
    from appreg.core.records.category_defaults import filled  # noqa: PLC0415
    from appreg.core.rules.assumptions import USUAL_VOLTS  # noqa: PLC0415

    known = filled(category) if category else None
    usual, connection = item.rated_volts == USUAL_VOLTS, connection_of(item)
    extra_low = item.appliance_class is ApplianceClass.CLASS_III or connection is Connection.BATTERY
    return ItemFacts(
        appliance_class=item.appliance_class,
        equipment_type=item.equipment_type,
        cord=_cord_of(item),
        power_kw=None if item.power_w is None else Decimal(item.power_w) / WATTS_IN_KW,
        heating=item.heating,
        microwave=item.microwave,
        rcd=item.rcd,
        rcd_rating_ma=item.rcd_rating_ma,
        rcd_delay_ms=item.rcd_delay_ms,
        fuse_a=item.fuse_a,
        moulded_plug=item.moulded_plug,
        double_leakage=item.double_leakage,
        unsuitable_500v=item.unsuitable_500v,
        flat_earth_limit_ohm=item.flat_earth_limit_ohm,
        mineral_insulated=item.mineral_insulated,
        rated_current_a=item.rated_current_a,
        scope=known.scope if known else "",
        is_rcd=item.rcd_mounting is not None or (item.rcd is None and known is not None and known.rcd is not None),
        connection=connection,
        # The usual supply is what a record holds where nobody said anything; these items are not fed by it.
        rated_volts=None if extra_low and usual else item.rated_volts,
        phases=item.phases,
        owner=item.owner,
        assumed=assumed_of(item, category),
        measured=measured_of(item),
        unearthed_metal=item.unearthed_metal,
        functional_earth=item.functional_earth,
    )


def connection_of(item: Appliance) -> Connection:
    """How an item is connected; where nobody said so, as its battery and its type tell."""
    if item.connection is not None:
        return item.connection
    if item.battery:
        return Connection.BATTERY
    if item.phases > 1 and item.equipment_type not in {EquipmentType.FIXED, EquipmentType.BUILT_IN}:
        return Connection.INDUSTRIAL
    fixed = item.equipment_type in {EquipmentType.FIXED, EquipmentType.BUILT_IN}
    return Connection.HARD_WIRED if fixed else Connection.PLUG


def equipment_key_of(item: Appliance) -> EquipmentKey:
    """What a row of an interval table is selected by."""
    return EquipmentKey(
        appliance_class=item.appliance_class,
        equipment_type=item.equipment_type,
        battery=item.battery,
        rcd_mounting=item.rcd_mounting,
    )


def facts_text(facts: ItemFacts) -> str:
    """The facts as canonical JSON: keys in order, decimals as text, what is not known left out."""
    import json  # noqa: PLC0415 - only writing needs it

    known: dict[str, object] = {}
    for name in facts.__struct_fields__:
        value = getattr(facts, name)
        if isinstance(value, Cord):
            known[name] = {
                "csa_mm2": str(value.csa_mm2),
                "length_m": str(value.length_m),
                "tinned": value.tinned,
            }
        elif isinstance(value, Decimal):
            known[name] = str(value)
        elif isinstance(value, tuple):
            known.update({name: list(value)} if value else {})
        elif value is not None:
            known[name] = value
    return json.dumps(known, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def assumed_in(text: str) -> tuple[str, ...]:
    """The facts that were assumed when these kept facts were judged; none where an older version kept them."""
    return _listed(text, "assumed")


def measured_in(text: str) -> tuple[str, ...]:
    """The facts that had been measured on the item when these kept facts were judged."""
    return _listed(text, "measured")


def _listed(text: str, name: str) -> tuple[str, ...]:
    import json  # noqa: PLC0415 - only reading needs it

    words = json.loads(text).get(name, []) if f'"{name}"' in text else []
    return tuple(str(word) for word in words)


def metal_and_earth_words(item: Appliance) -> str:
    """What an item has beside its class that gives it a second line; empty where nothing."""
    said = ("metal not earthed" if item.unearthed_metal else "", "functional earth" if item.functional_earth else "")
    return " · ".join(part for part in said if part)


def _cord_of(item: Appliance) -> Cord | None:
    if item.cord_csa_mm2 is None or item.cord_length_m is None:
        return None
    return Cord(csa_mm2=item.cord_csa_mm2, length_m=item.cord_length_m, tinned=item.tinned)
