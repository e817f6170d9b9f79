"""Adding and changing records: what is cleaned, what must exist, what must not be taken."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.kept_records import Appliance, AssetTag, Client, Location, Site
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.seed_categories import seed_categories, seed_new_register
from tests.hostile_names import HOSTILE_NAMES
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def test_texts_are_trimmed_and_hidden_controls_refused(here: WorkedSite) -> None:
    assert add_client(here.register, WHO, name="  Row\u202e Lettings  ").name == "Row Lettings"
    with pytest.raises(InputRefused, match="client name"):
        add_client(here.register, WHO, name="\x1b]52;c;x\x07")
    with pytest.raises(InputRefused, match="client name: nothing is typed"):
        add_client(here.register, WHO, name=" \u200e ")


def test_markup_and_formulas_are_names_like_any_other(here: WorkedSite) -> None:
    for name in ("[red]", "=1+1", "[@click=app.quit]x[/]"):
        client = add_client(here.register, WHO, name=name)
        assert here.register.get(Client, client.uid).name == name


def test_every_hostile_name_is_kept_clean_or_refused_in_one_sentence(here: WorkedSite) -> None:
    outcomes = {name: kept_or_refused(here, name) for name in HOSTILE_NAMES}
    assert [name for name, text in outcomes.items() if any(map(acts_on_a_terminal, text))] == []


def kept_or_refused(here: WorkedSite, name: str) -> str:
    try:
        return add_location(here.register, WHO, site=here.site.uid, name=name).name
    except InputRefused as refusal:
        return str(refusal)


def acts_on_a_terminal(character: str) -> bool:
    return ord(character) < 0x20 or 0x7F <= ord(character) < 0xA0 or character in "\u202e\u2066"


def test_a_prefix_belongs_to_one_site(here: WorkedSite) -> None:
    with pytest.raises(InputRefused, match="HR belongs to Harbour Row"):
        add_site(here.register, WHO, client=here.client.uid, name="Two", prefix="hr", environment="low-risk")
    for prefix in ("", "A B", "ÄÖ", "TOOLONGPREFIX", "A-1"):
        with pytest.raises(InputRefused, match="site prefix"):
            add_site(here.register, WHO, client=here.client.uid, name="Two", prefix=prefix, environment="low-risk")


def test_a_sites_rules_must_exist(here: WorkedSite) -> None:
    def add(**rules: str) -> Site:
        given: dict[str, Any] = {"environment": "low-risk", **rules}
        return add_site(here.register, WHO, client=here.client.uid, name="Two", prefix="TW", **given)

    with pytest.raises(InputRefused, match="environment: “moon” is not in interval table hsg107-2013; choose one of"):
        add(environment="moon")
    with pytest.raises(InputRefused, match="no rule book"):
        add(rule_book="xx")
    with pytest.raises(InputRefused, match="no interval table"):
        add(interval_table="none-such")
    with pytest.raises(InputRefused, match="no landlord profile"):
        add(landlord_profile="none-such")
    assert here.register.find(Site, prefix="TW") == []


def test_a_site_needs_its_client(here: WorkedSite) -> None:
    with pytest.raises(NotFound):
        add_site(here.register, WHO, client=Uid("0" * 26), name="Two", prefix="TW", environment="low-risk")


def test_a_location_is_named_once_at_a_site(here: WorkedSite) -> None:
    with pytest.raises(InputRefused, match="has a location “Kitchen” already"):
        add_location(here.register, WHO, site=here.site.uid, name="KITCHEN")
    with pytest.raises(InputRefused, match="environment"):
        add_location(here.register, WHO, site=here.site.uid, name="Attic", environment="moon")


def test_people_and_instruments_need_what_is_written_on_reports(here: WorkedSite) -> None:
    with pytest.raises(InputRefused, match="initials"):
        add_person(here.register, WHO, name="Wren", initials=" ")
    with pytest.raises(InputRefused, match="serial"):
        add_instrument(here.register, WHO, name="Tester", serial="")
    with pytest.raises(InputRefused, match="accuracy"):
        add_instrument(here.register, WHO, name="Tester", serial="1", accuracy="rather good")


def test_a_category_fills_the_form_and_what_is_typed_wins(here: WorkedSite) -> None:
    kettle = add_category(
        here.register,
        WHO,
        code="kx",
        name="Kettle",
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
        cord_csa_mm2=Decimal("0.75"),
        power_w=2200,
        heating=True,
    )
    item = add_appliance(
        here.register, WHO, site=here.site.uid, location=here.kitchen.uid, category=kettle.uid, power_w=3000
    )
    assert (item.name, item.heating, item.cord_csa_mm2, item.power_w) == ("Kettle", True, Decimal("0.75"), 3000)
    assert kettle.code == "KX"
    with pytest.raises(InputRefused, match="KX belongs to Kettle"):
        add_category(
            here.register,
            WHO,
            code="KX",
            name="Other",
            appliance_class=ApplianceClass.CLASS_I,
            equipment_type=EquipmentType.PORTABLE,
        )


def test_an_item_without_class_is_of_unknown_class(here: WorkedSite) -> None:
    item = add_appliance(here.register, WHO, site=here.site.uid, location=here.kitchen.uid, name="Box")
    assert item.appliance_class is ApplianceClass.UNKNOWN


def test_tags_count_on_from_the_highest_and_are_unique_in_any_case(here: WorkedSite) -> None:
    assert here.kettle().tag == "HR-001"
    here.kettle("hr-041")
    assert here.kettle().tag == "HR-042"
    with pytest.raises(InputRefused, match="HR-041 is on another item"):
        here.kettle("Hr-041")
    here.kettle("HR-999")
    assert here.kettle().tag == "HR-1000"


def test_an_item_stands_at_a_location_of_its_site(here: WorkedSite) -> None:
    other = add_site(here.register, WHO, client=here.client.uid, name="Two", prefix="TW", environment="low-risk")
    with pytest.raises(InputRefused, match="is not at Two"):
        add_appliance(here.register, WHO, site=other.uid, location=here.kitchen.uid, name="Box")


@pytest.mark.parametrize("wrong", [Decimal(0), Decimal(-1), Decimal("NaN"), Decimal("Infinity")])
def test_a_figure_must_be_one(here: WorkedSite, wrong: Decimal) -> None:
    with pytest.raises(InputRefused, match="cord length"):
        change_record(here.register, WHO, replace(here.kettle(), cord_length_m=wrong))


def test_a_cord_set_feeds_another_item(here: WorkedSite) -> None:
    kettle = here.kettle()
    with pytest.raises(InputRefused, match="cannot feed itself"):
        change_record(here.register, WHO, replace(kettle, feeds=kettle.uid))
    with pytest.raises(InputRefused, match="neither 1 nor 3"):
        change_record(here.register, WHO, replace(kettle, phases=2))


def test_changing_an_item_leaves_its_result_and_state_alone(here: WorkedSite) -> None:
    saved = here.record(here.kettle(), combined()).appliance
    forged = replace(saved, name="Jug kettle", state=ServiceState.DISPOSED, last_outcome=None, next_test=None)
    kept = change_record(here.register, WHO, forged)
    assert kept == replace(saved, name="Jug kettle")


def test_next_dates_follow_a_change_of_class_or_interval(here: WorkedSite) -> None:
    item = here.record(here.kettle(), combined()).appliance
    longer = change_record(here.register, WHO, replace(item, longer_interval_reason="one careful user"))
    # HSG107, Class I: visual 6 months to 1 year, test 1 to 2 years (published leaflet).
    assert (longer.next_visual, longer.next_test) == (date(2027, 11, 24), date(2028, 11, 24))


def test_next_dates_follow_a_move_of_the_whole_location_and_site(here: WorkedSite) -> None:
    item = here.record(here.kettle(), combined()).appliance
    change_record(here.register, WHO, replace(here.kitchen, environment="public"))
    # HSG107, used by the public: visual 3 months, test 1 year (second-hand).
    assert here.again(item).next_visual == date(2027, 2, 24)
    change_record(here.register, WHO, replace(here.kitchen, environment=""))
    change_record(here.register, WHO, replace(here.site, environment="light-industrial"))
    assert here.again(item).next_test == date(2027, 5, 24)


def test_a_table_that_does_not_know_a_locations_environment_is_refused(here: WorkedSite) -> None:
    change_record(here.register, WHO, replace(here.kitchen, environment="hire"))
    book = replace(here.site, interval_table="premises-2007", environment="industrial")
    with pytest.raises(InputRefused, match="change the location first"):
        change_record(here.register, WHO, book)


def test_a_visit_with_inspections_keeps_its_day(here: WorkedSite) -> None:
    visit = here.visit()
    here.record(here.kettle(), combined(), visit)
    with pytest.raises(InputRefused, match="start another visit"):
        change_record(here.register, WHO, replace(visit, date=date(2026, 1, 1)))
    assert change_record(here.register, WHO, replace(visit, notes="rainy")).notes == "rainy"
    assert visit.date == TODAY


def test_categories_are_seeded_once(here: WorkedSite) -> None:
    added = seed_categories(here.register, WHO)
    assert len(added) >= 60
    assert seed_categories(here.register, WHO) == ()
    assert seed_new_register(here.register, WHO) == ()


def test_a_register_in_use_keeps_the_categories_its_people_made(here: WorkedSite) -> None:
    add_category(
        here.register,
        WHO,
        code="OWN",
        name="Our own",
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
    )
    assert seed_new_register(here.register, WHO) == ()


def test_a_new_kind_of_item_is_found_again_by_its_tag(here: WorkedSite) -> None:
    kettle = here.kettle()
    assert here.register.find(Appliance, tag=AssetTag("HR-001")) == [kettle]
    assert here.register.find(Location, site=here.site.uid) == [here.kitchen]
