"""Add a category: a kind of item whose defaults fill the form."""

from decimal import Decimal

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, RcdKind, RcdMounting
from appreg.core.records.kept_records import Category
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked


def add_category(
    register: Register,
    who: str,
    *,
    code: str,
    name: str,
    appliance_class: ApplianceClass,
    equipment_type: EquipmentType,
    cord_csa_mm2: Decimal | None = None,
    cord_length_m: Decimal | None = None,
    fuse_a: Decimal | None = None,
    power_w: int | None = None,
    heating: bool = False,
    microwave: bool = False,
    unsuitable_500v: bool = False,
    battery: bool = False,
    visual_items: tuple[str, ...] = (),
    rated_volts: int | None = None,
    phases: int | None = None,
    connection: Connection | None = None,
    rcd: RcdKind | None = None,
    rcd_rating_ma: Decimal | None = None,
    rcd_mounting: RcdMounting | None = None,
    moulded_plug: bool = False,
    mineral_insulated: bool = False,
    synonyms: tuple[str, ...] = (),
    scope: str = "",
    unearthed_metal: bool = False,
    functional_earth: bool = False,
) -> Category:
    """Add a category; raises InputRefused where its code is taken."""
    with register.change(who) as change:
        category = Category(
            uid=change.new_uid(),
            code=code,
            name=name,
            appliance_class=appliance_class,
            equipment_type=equipment_type,
            cord_csa_mm2=cord_csa_mm2,
            cord_length_m=cord_length_m,
            fuse_a=fuse_a,
            power_w=power_w,
            heating=heating,
            microwave=microwave,
            unsuitable_500v=unsuitable_500v,
            battery=battery,
            visual_items=visual_items,
            rated_volts=rated_volts,
            phases=phases,
            connection=connection,
            rcd=rcd,
            rcd_rating_ma=rcd_rating_ma,
            rcd_mounting=rcd_mounting,
            moulded_plug=moulded_plug,
            mineral_insulated=mineral_insulated,
            synonyms=synonyms,
            scope=scope,
            unearthed_metal=unearthed_metal,
            functional_earth=functional_earth,
        )
        category = checked(register, category)
        change.put(category)
    return category
