"""The general categories and the visual list: complete, consistent, with a basis."""

import tomllib
from decimal import Decimal

import pytest

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.category_defaults import category_defaults
from appreg.core.records.kept_records import InspectionKind
from appreg.core.rules.rule_values import Basis
from appreg.core.rules.visual_list import all_visual_lines, visual_lines
from appreg.core.values.toml_places import package_toml
from appreg.core.values.uids import Uid

# BS 1362 (second-hand): the fuses there are.
FUSES = {Decimal(each) for each in ("1", "2", "3", "5", "7", "10", "13")}
# IEC 60228 class 5, and the UK flex of 1.25 mm² (second-hand).
SIZES = {Decimal(each) for each in ("0.5", "0.75", "1.0", "1.25", "1.5", "2.5")}


def test_codes_and_names_are_given_once_and_in_a_form_that_can_be_typed() -> None:
    every = category_defaults()
    assert len(every) >= 60
    assert len({each.code for each in every}) == len(every)
    assert len({each.name for each in every}) == len(every)
    assert all(each.code.isascii() and each.code.isalnum() and each.code.isupper() for each in every)


def test_cords_and_fuses_are_sizes_that_exist() -> None:
    for each in category_defaults():
        assert each.fuse_a is None or each.fuse_a in FUSES, each.name
        assert each.cord_csa_mm2 is None or each.cord_csa_mm2 in SIZES, each.name
        assert (each.cord_csa_mm2 is None) == (each.cord_length_m is None), each.name


def test_a_lead_has_an_earth_and_no_power_of_its_own() -> None:
    # CoP 15.10 (second-hand): a lead must have an earth conductor and is tested as Class I.
    leads = [each for each in category_defaults() if each.equipment_type.is_lead]
    assert leads
    two_cores = {each.code for each in leads if each.appliance_class is ApplianceClass.CLASS_II}
    assert two_cores == {"CS2"}
    assert all(each.power_w is None for each in leads)


def test_the_kinds_of_item_that_rules_single_out_are_there() -> None:
    every = category_defaults()
    assert {each.appliance_class for each in every} == set(ApplianceClass) - {ApplianceClass.UNKNOWN}
    assert {each.equipment_type for each in every} == set(EquipmentType)
    assert any(each.microwave for each in every)
    assert all(each.heating for each in every if each.microwave)
    assert any(each.battery for each in every)
    assert any(each.unsuitable_500v for each in every)


def test_the_list_of_categories_states_its_basis() -> None:
    assert Basis(tomllib.loads(package_toml("categories.toml").text)["basis"]) is Basis.COMMON_PRACTICE


def test_a_category_becomes_a_record_with_every_default() -> None:
    kettle = next(each for each in category_defaults() if each.code == "KET")
    record = kettle.as_category(Uid("0" * 26))
    assert (record.code, record.name) == ("KET", "Kettle")
    assert (record.cord_csa_mm2, record.fuse_a) == (Decimal("0.75"), Decimal(13))
    assert (record.power_w, record.heating, record.visual_items) == (2200, True, ())


@pytest.mark.parametrize("kind", EquipmentType)
def test_every_type_of_item_has_a_visual_list(kind: EquipmentType) -> None:
    ids = [line.id for line in visual_lines(kind)]
    assert {"casing", "heat", "place", "recall"} <= set(ids)
    assert ("plug" in ids) == (kind not in {EquipmentType.FIXED, EquipmentType.BUILT_IN})
    assert ("sockets" in ids) == kind.is_lead


def test_each_line_of_the_visual_list_says_what_would_fail_it_and_who_says_so() -> None:
    for line in all_visual_lines().values():
        assert line.title
        assert line.look_for
        assert line.citation.source


def test_a_category_may_name_its_own_lines_in_its_own_order() -> None:
    assert [line.id for line in visual_lines(EquipmentType.PORTABLE, ("cord", "plug"))] == ["cord", "plug"]
    assert InspectionKind.VISUAL.value == "visual"
