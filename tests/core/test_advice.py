from decimal import Decimal as D

import pytest
from msgspec.structs import replace

from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, Connection, Cord, EquipmentType, ItemFacts, RcdKind
from appreg.core.records.checks import Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import Outcome
from appreg.core.values.readings import Unit, parse_reading

GB, EU = load_rule_book("gb"), load_rule_book("eu")
ITEM = ItemFacts(appliance_class=ApplianceClass.CLASS_II, equipment_type=EquipmentType.PORTABLE)
LEAD = replace(ITEM, equipment_type=EquipmentType.EXTENSION_LEAD)


def advice(facts: ItemFacts, entries: Entries | None = None, book_id: str = "gb") -> str:
    return "\n".join(judge(facts, entries or Entries(), load_rule_book(book_id)).advice)


def test_a_fuse_larger_than_the_power_asks_for_is_pointed_out() -> None:
    said = advice(replace(ITEM, power_kw=D("0.65"), fuse_a=D(13)))
    assert said == "fuse found 13 A is larger than 3 A for 650 W; a motor may need more to start (CoP, second-hand)"
    assert "motor" not in advice(replace(ITEM, power_kw=D("0.65"), fuse_a=D(13), heating=True))


def test_the_fuse_that_the_power_asks_for_needs_no_advice() -> None:
    assert not advice(replace(ITEM, power_kw=D(2), fuse_a=D(13)))


def test_a_fuse_smaller_than_the_power_asks_for_is_pointed_out() -> None:
    assert "fuse found 3 A is smaller than 13 A for 2000 W" in advice(replace(ITEM, power_kw=D(2), fuse_a=D(3)))


def test_no_plug_fuse_is_advised_for_a_lead_nor_where_the_book_knows_none() -> None:
    assert "plug fuse" not in advice(replace(LEAD, power_kw=D(1)))
    assert "plug fuse" not in advice(replace(ITEM, power_kw=D(1)), book_id="eu")


def test_the_fuse_of_a_lead_is_chosen_by_its_flex_and_not_by_what_is_preferred_for_appliances() -> None:
    ten = replace(LEAD, appliance_class=ApplianceClass.CLASS_I, fuse_a=D(10), cord=Cord(csa_mm2=D(1), length_m=D(2)))
    assert "preferred" not in advice(ten)
    assert "preferred" in advice(replace(ITEM, fuse_a=D(10)))
    assert "no plug fuse of 6 A exists" in advice(replace(ten, fuse_a=D(6)))


def test_nothing_is_fused_in_its_plug_at_a_voltage_between_lines() -> None:
    assert "fuse" not in advice(replace(ITEM, power_kw=D(2), rated_volts=400))


@pytest.mark.parametrize(("volts", "told"), [(400, "15.9 A"), (None, "15.9 A"), (230, "15.9 A")])
def test_the_current_of_three_phases_is_that_in_each_line(volts: int | None, told: str) -> None:
    # 11 kW ÷ (√3 × 400 V) = 15.9 A = 11 kW ÷ (3 × 230 V) (physics).
    cord = Cord(csa_mm2=D("1.5"), length_m=D(2))
    saw = replace(ITEM, power_kw=D(11), phases=3, rated_volts=volts, cord=cord, connection=Connection.INDUSTRIAL)
    assert f"load of {told} is more than 15 A" in advice(saw)


def test_an_item_out_of_scope_is_not_told_of_trips_that_it_is_not_judged_by() -> None:
    cable = replace(LEAD, rcd=RcdKind.PORTABLE, rcd_rating_ma=D(30), scope="a standard of its own")
    assert "RCD" not in advice(cable)


@pytest.mark.parametrize(("rating", "told"), [(D(30), False), (D(100), True), (None, True)])
def test_a_long_lead_is_content_only_with_a_device_of_30_ma(rating: D | None, told: bool) -> None:
    lead = replace(LEAD, cord=Cord(csa_mm2=D("1.5"), length_m=D(20)), rcd=RcdKind.GENERAL, rcd_rating_ma=rating)
    assert ("over the recommended 15 m" in advice(lead)) is told


def test_a_long_lead_needs_no_device_of_its_own_where_the_sockets_have_one() -> None:
    lead = replace(LEAD, cord=Cord(csa_mm2=D("1.5"), length_m=D(20)))
    assert "over the recommended" in advice(lead)
    assert "over the recommended" not in advice(replace(lead, additional_protection=True))


@pytest.mark.parametrize(
    ("rating", "words"), [(D(100), "RCD rated 100 mA is no additional protection"), (None, "RCD rating not known")]
)
def test_a_device_that_gives_no_additional_protection_is_pointed_out(rating: D | None, words: str) -> None:
    assert words in advice(replace(LEAD, rcd=RcdKind.GENERAL, rcd_rating_ma=rating))


SYMMETRIC = Entries(
    leakage=LeakageEntry(
        reading=parse_reading("0.1", Unit.MILLIAMP), method=LeakageMethod.SUBSTITUTE, two_pole_symmetric=True
    )
)


@pytest.mark.parametrize(
    ("book_id", "facts", "entries", "words"),
    [
        ("eu", replace(ITEM, double_leakage=True), Entries(), "double leakage limit is ignored"),
        ("gb", replace(LEAD, double_leakage=True), Entries(), "double leakage limit is ignored: it is not for leads"),
        ("gb", replace(ITEM, mineral_insulated=True), Entries(), "mineral-insulated elements is ignored"),
        ("eu", replace(ITEM, flat_earth_limit_ohm=D("0.5")), Entries(), "chosen flat earth limit is ignored"),
        ("gb", ITEM, SYMMETRIC, "two-pole symmetric circuit is ignored"),
        ("gb", replace(ITEM, rcd=RcdKind.S, rcd_delay_ms=D(60)), Entries(), "rated delay of the RCD is ignored"),
    ],
)
def test_what_a_book_has_no_rule_for_is_said_to_be_ignored(
    book_id: str, facts: ItemFacts, entries: Entries, words: str
) -> None:
    assert words in advice(facts, entries, book_id)


def test_a_rule_that_the_book_has_is_not_said_to_be_ignored() -> None:
    assert "ignored" not in advice(replace(ITEM, double_leakage=True), book_id="gb")
    assert "ignored" not in advice(ITEM, SYMMETRIC, "eu")
    assert "ignored" not in advice(replace(ITEM, mineral_insulated=True), book_id="anz")


@pytest.mark.parametrize(("volts", "told"), [(250, False), (500, True), (None, True)])
def test_500_v_on_a_delicate_item_is_cautioned_against(volts: int | None, told: bool) -> None:
    delicate = replace(ITEM, appliance_class=ApplianceClass.CLASS_I, unsuitable_500v=True)
    entries = Entries(insulation=InsulationEntry(reading=parse_reading("5", Unit.MEGOHM), volts=volts))
    assert ("500 V d.c. is marked unsuitable" in advice(delicate, entries)) is told


def test_advice_never_changes_the_outcome() -> None:
    sound = Entries(
        visual=True, functional=True, insulation=InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM))
    )
    wrong = replace(ITEM, power_kw=D("0.1"), fuse_a=D(13), cord=Cord(csa_mm2=D("0.5"), length_m=D(2)))
    judgement = judge(wrong, sound, GB)
    assert len(judgement.advice) == 2
    assert judgement.outcome is judge(ITEM, sound, GB).outcome is Outcome.PASS
