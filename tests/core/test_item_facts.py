"""From a kept item to the facts of a verdict; and the order of tags."""

import json
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ItemFacts, RcdKind
from appreg.core.records.kept_records import Appliance, AssetTag
from appreg.core.rules.item_facts import equipment_key_of, facts_of, facts_text
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.uids import Uid

ITEM = Appliance(
    uid=Uid("0" * 26),
    site=Uid("1" * 26),
    location=Uid("2" * 26),
    tag=AssetTag("HR-001"),
    name="Reel",
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.EXTENSION_LEAD,
    cord_csa_mm2=Decimal("2.50"),
    cord_length_m=Decimal(25),
    power_w=2200,
    rcd=RcdKind.PORTABLE,
    rcd_rating_ma=Decimal(30),
)


def test_watts_become_exact_kilowatts() -> None:
    assert facts_of(ITEM).power_kw == Decimal("2.2")
    assert facts_of(replace(ITEM, power_w=None)).power_kw is None


def test_a_cord_of_which_only_a_part_is_known_is_not_known() -> None:
    assert facts_of(ITEM).cord is not None
    assert facts_of(replace(ITEM, cord_csa_mm2=None)).cord is None
    assert facts_of(replace(ITEM, cord_length_m=None)).cord is None


def test_facts_are_written_in_one_form_only() -> None:
    text = facts_text(facts_of(ITEM))
    data = json.loads(text)
    assert text == json.dumps(data, sort_keys=True, separators=(",", ":"))
    assert data["cord"] == {"csa_mm2": "2.50", "length_m": "25", "tinned": False}
    assert (data["rcd"], data["rcd_rating_ma"], data["power_kw"]) == ("portable", "30", "2.2")
    assert "fuse_a" not in data


def test_every_fact_that_is_known_is_written() -> None:
    facts = ItemFacts(
        appliance_class=ApplianceClass.UNKNOWN,
        equipment_type=EquipmentType.PORTABLE,
        microwave=True,
        fuse_a=Decimal(13),
        flat_earth_limit_ohm=Decimal("0.2"),
    )
    data = json.loads(facts_text(facts))
    assert (data["appliance_class"], data["microwave"], data["fuse_a"]) == ("unknown", True, "13")
    assert data["flat_earth_limit_ohm"] == "0.2"


def test_a_row_of_an_interval_table_is_selected_by_class_and_type() -> None:
    key = equipment_key_of(ITEM)
    assert (key.appliance_class, key.equipment_type) == (ITEM.appliance_class, ITEM.equipment_type)


def test_tags_sort_by_number_and_not_by_letter() -> None:
    tags = ["KL-1000", "KL-999", "HR-2", "HR-10", "7", "A"]
    assert sorted(tags, key=tag_order) == ["7", "A", "HR-2", "HR-10", "KL-999", "KL-1000"]


@given(st.lists(st.text(max_size=8)))
def test_any_texts_can_be_put_in_order(tags: list[str]) -> None:
    assert sorted(sorted(tags, key=tag_order)) == sorted(tags)
