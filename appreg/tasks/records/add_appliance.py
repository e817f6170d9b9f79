"""Add an appliance: defaults from its category, a tag from its site."""

from collections.abc import Iterable
from typing import Unpack

from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.category_defaults import filled
from appreg.core.records.kept_records import Appliance, AssetTag, Category, Site
from appreg.core.records.provenance import assumed_of, assuming, given_by, left_assumed
from appreg.core.rules.assumptions import USUAL_VOLTS
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked
from appreg.tasks.records.item_fields import ItemFields
from appreg.tasks.records.next_tags import next_tags


def add_appliance(
    register: Register,
    who: str,
    *,
    site: Uid,
    location: Uid,
    name: str = "",
    category: Uid | None = None,
    tag: str = "",
    **fields: Unpack[ItemFields],
) -> Appliance:
    """Add an item; a field left out is the category's default, an empty tag the next of the site's prefix.

    Without category or class the class is not known (judged as Class I) and the type portable.
    """
    with register.change(who) as change:
        kind = register.get(Category, category) if category else None
        place = register.get(Site, site)
        item = drafted(change.new_uid(), place, location, kind, name)
        item = replace(item, tag=AssetTag(tag.strip() or next_tags(register, place, 1)[0]), **fields)
        item = still_assuming(item, kind, fields)
        item = checked(register, item)
        change.put(item)
    return item


def drafted(uid: Uid, site: Site, location: Uid, category: Category | None, name: str) -> Appliance:
    """An item with the defaults of its category and no tag yet."""
    if category is None:
        return Appliance(
            uid=uid,
            site=site.uid,
            location=location,
            tag=AssetTag(""),
            name=name,
            appliance_class=ApplianceClass.UNKNOWN,
            equipment_type=EquipmentType.PORTABLE,
            assumed=(),
        )
    category = as_used_here(filled(category), load_rule_book(site.rule_book))
    return Appliance(
        uid=uid,
        site=site.uid,
        location=location,
        category=category.uid,
        tag=AssetTag(""),
        name=name or category.name,
        appliance_class=category.appliance_class,
        equipment_type=category.equipment_type,
        cord_csa_mm2=category.cord_csa_mm2,
        cord_length_m=category.cord_length_m,
        fuse_a=category.fuse_a,
        power_w=category.power_w,
        heating=category.heating,
        microwave=category.microwave,
        unsuitable_500v=category.unsuitable_500v,
        battery=category.battery,
        rated_volts=category.rated_volts or USUAL_VOLTS,
        phases=category.phases or 1,
        connection=category.connection,
        rcd=category.rcd,
        rcd_rating_ma=category.rcd_rating_ma,
        rcd_mounting=category.rcd_mounting,
        moulded_plug=category.moulded_plug,
        mineral_insulated=category.mineral_insulated,
        unearthed_metal=category.unearthed_metal,
        functional_earth=category.functional_earth,
        assumed=tuple(fact.value for fact in given_by(category)),
    )


def as_used_here(category: Category, book: RuleBook) -> Category:
    """A category without what the plugs and cords of the book's country do not have."""
    fused, cords = book.find("plug.fused"), book.find("plug.usual-cords")
    if fused is not None and fused.words != ("fused",):
        category = replace(category, fuse_a=None)
    if cords is not None and category.cord_csa_mm2 is not None and category.cord_csa_mm2 not in cords.numbers:
        category = replace(category, cord_csa_mm2=None, cord_length_m=None)
    return category


def still_assuming(item: Appliance, category: Category | None, given: Iterable[str]) -> Appliance:
    """A new item of a category: what somebody gave by the name of its field is read, the rest assumed."""
    if category is None or "assumed" in given:
        return item
    left = left_assumed(assumed_of(item, category), given)
    return assuming(item, (fact for fact in left if fact.value not in item.measured))
