"""What a name takes from a category, and what a category knows of voltage, connection, device and country."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, RcdKind, RcdMounting
from appreg.core.records.category_defaults import category_defaults
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, Category
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import Outcome
from appreg.tasks.inspecting.open_bench import open_bench
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_walked_items import add_walked_items
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.seed_categories import seed_categories, seed_later_categories, told_of_later
from appreg.tasks.records.suggest_categories import certain_category, suggest_categories
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


@pytest.fixture(name="seeded")
def _seeded(here: WorkedSite) -> WorkedSite:
    seed_categories(here.register, WHO)
    return here


def walked(site: WorkedSite, typed: str) -> Appliance:
    return add_walked_items(site.register, WHO, location=site.kitchen.uid, typed=typed)[0]


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("ket", "Kettle"),
        ("kettle", "Kettle"),
        ("Kettl", "Kettle"),
        ("tv", "Television"),
        ("PC", "Desktop computer"),
        ("vac", "Vacuum cleaner"),
        ("iec lead", "Cord set"),
        ("kettle lead", "Cord set"),
        ("phone charger", "Phone charger"),
        ("welder", "Welding set"),
        ("immersion heater", "Water heater"),
        ("extension lead on a reel", "Cable reel"),
        ("110 V transformer", "Site transformer 110 V"),
        ("drill charger", "Battery charger"),
        ("heated blanket", "Electric blanket"),
        ("cordless drill", "Cordless tool"),
        ("cooker hood", "Cooker hood"),
        ("floor sander", "Floor sander"),
        ("drill 110", "Drill 110 V"),
    ],
)
def test_a_name_a_code_or_the_beginning_of_one_name_is_taken_silently(
    seeded: WorkedSite, typed: str, name: str
) -> None:
    found = certain_category(seeded.register.find(Category), typed)
    assert found is not None
    assert found.name == name


@pytest.mark.parametrize("typed", ["site drill", "blue kettle", "old cooker hood", "camping cooker", "oven", "table"])
def test_what_only_resembles_a_name_is_suggested_but_never_taken(seeded: WorkedSite, typed: str) -> None:
    assert certain_category(seeded.register.find(Category), typed) is None
    assert suggest_categories(seeded.register, typed)
    item = walked(seeded, typed)
    assert (item.category, item.appliance_class) == (None, ApplianceClass.UNKNOWN)


def test_a_hood_over_a_cooker_is_not_judged_as_the_cooker(seeded: WorkedSite) -> None:
    (cooker,) = seeded.register.find(Category, code="COO")
    assert walked(seeded, "cooker hood").category != cooker.uid


def test_a_drill_of_110_volts_is_rated_so_and_has_no_plug_fuse(seeded: WorkedSite) -> None:
    for typed in ("drill 110 v", "my drill 110V"):
        assert walked(seeded, typed).rated_volts == 110
    drill = walked(seeded, "drill 110 v")
    assert (drill.connection, drill.fuse_a) == (Connection.INDUSTRIAL, None)
    assert "fuse" not in {line.id for line in open_bench(seeded.register, drill.uid, today=TODAY).visual_lines}


@pytest.mark.parametrize("typed", ["rcd plug adaptor", "extension lead with rcd"])
def test_a_device_from_the_list_needs_its_trip_test_and_its_button(seeded: WorkedSite, typed: str) -> None:
    bench = open_bench(seeded.register, walked(seeded, typed).uid, today=TODAY)
    assert {Check.RCD_1X, Check.RCD_BUTTON} <= set(bench.rules.required)
    saved = seeded.record(bench.appliance, replace(combined(), polarity=True))
    assert saved.inspection.outcome is Outcome.INCOMPLETE
    assert {"rcd-1x", "rcd-button"} <= set(saved.inspection.missing)


def test_a_device_of_an_older_register_that_names_no_kind_needs_its_trip_test_too(seeded: WorkedSite) -> None:
    item = walked(seeded, "rcd plug adaptor")
    (category,) = seeded.register.find(Category, code="RCD")
    with seeded.register.change(WHO) as change:
        change.put(replace(category, rcd=None, rcd_rating_ma=None, rcd_mounting=None))
        change.put(replace(item, rcd=None, rcd_rating_ma=None, rcd_mounting=None, assumed=None))
    assert Check.RCD_1X in open_bench(seeded.register, item.uid, today=TODAY).rules.required
    again = walked(seeded, "rcd plug adaptor")
    assert (again.rcd, again.rcd_mounting) == (RcdKind.PORTABLE, RcdMounting.PORTABLE)


def test_a_cordless_tool_is_looked_at_as_what_it_is(seeded: WorkedSite) -> None:
    bench = open_bench(seeded.register, walked(seeded, "cordless drill").uid, today=TODAY)
    assert bench.rules.required == (Check.VISUAL, Check.FUNCTIONAL)
    ids = {line.id for line in bench.visual_lines}
    assert "battery" in ids
    assert ids.isdisjoint({"plug", "fuse", "cord", "grip"})


@pytest.mark.parametrize(
    ("typed", "looks", "never"),
    [
        ("microwave oven", "door", "output"),
        ("site transformer", "output", "door"),
        ("electric blanket", "fabric", "air"),
        ("rcd plug adaptor", "sockets", "cord"),
        ("phone charger", "casing", "fuse"),
        ("kettle", "cord", "door"),
    ],
)
def test_an_item_is_looked_at_where_its_kind_goes_wrong(seeded: WorkedSite, typed: str, looks: str, never: str) -> None:
    ids = {line.id for line in open_bench(seeded.register, walked(seeded, typed).uid, today=TODAY).visual_lines}
    assert looks in ids
    assert never not in ids


def test_a_category_of_an_older_register_is_looked_at_likewise(seeded: WorkedSite) -> None:
    item = walked(seeded, "site transformer")
    (category,) = seeded.register.find(Category, code="TRF")
    with seeded.register.change(WHO) as change:
        change.put(replace(category, visual_items=()))
    assert "output" in {line.id for line in open_bench(seeded.register, item.uid, today=TODAY).visual_lines}


@pytest.mark.parametrize("book", ["eu", "anz"])
def test_plugs_without_a_fuse_get_none_and_cords_are_those_of_the_country(seeded: WorkedSite, book: str) -> None:
    rules = load_rule_book(book)
    environment = next(iter(rules.interval_tables[rules.default_interval_table].environments))
    change_record(
        seeded.register, WHO, replace(seeded.site, rule_book=book, interval_table="", environment=environment)
    )
    kettle, heater = walked(seeded, "kettle"), walked(seeded, "fan heater")
    assert kettle.fuse_a is None
    assert kettle.cord_csa_mm2 == Decimal("0.75")
    assert heater.cord_csa_mm2 is None  # 1.25 mm² is a size of the United Kingdom
    bench = open_bench(seeded.register, kettle.uid, today=TODAY)
    assert "fuse" not in {line.id for line in bench.visual_lines}


def test_an_item_with_a_standard_of_its_own_says_so(seeded: WorkedSite) -> None:
    saved = seeded.record(walked(seeded, "medical equipment"), combined())
    assert any("has a standard of its own" in each for each in saved.inspection.advice)
    assert "insulation" not in saved.inspection.missing


def without_later_ones(here: WorkedSite) -> None:
    """A register made by a version that knew neither phone chargers nor cooker hoods."""
    later = {"Phone charger", "Cooker hood"}
    with here.register.change(WHO) as change:
        for default in category_defaults():
            if default.name not in later:
                change.put(default.as_category(change.new_uid()))


def journal_lines(here: WorkedSite) -> int:
    return int(here.register.rows("SELECT count(*) FROM journal")[0][0])


def test_categories_that_have_come_since_reach_an_older_register_once(here: WorkedSite) -> None:
    without_later_ones(here)
    before = journal_lines(here)
    added = seed_later_categories(here.register)
    assert [each.name for each in added] == ["Cooker hood", "Phone charger"]
    assert told_of_later(added) == "New in the list of categories: Cooker hood, Phone charger."
    assert journal_lines(here) == before + 2
    assert seed_later_categories(here.register) == ()
    assert told_of_later(()) == ""
    assert journal_lines(here) == before + 2


def test_a_category_renamed_removed_or_taken_back_since_never_comes_again(here: WorkedSite) -> None:
    without_later_ones(here)
    hood, charger = seed_later_categories(here.register)
    change_record(here.register, WHO, replace(hood, name="Dunstabzug", synonyms=()))
    with here.register.change(WHO) as change:
        change.remove(charger)
    assert seed_later_categories(here.register) == ()


def test_a_category_of_the_users_own_keeps_its_name_its_code_and_what_people_type(here: WorkedSite) -> None:
    without_later_ones(here)
    kind = {"appliance_class": ApplianceClass.CLASS_II, "equipment_type": EquipmentType.PORTABLE}
    add_category(here.register, WHO, code="OWN", name="cooker  HOOD", **kind)  # type: ignore[arg-type]
    add_category(here.register, WHO, code="PHC", name="USB charger", **kind)  # type: ignore[arg-type]
    (charger,) = seed_later_categories(here.register)
    assert (charger.name, charger.code) == ("Phone charger", "PHC2")
    assert "usb charger" not in charger.synonyms
    assert "mobile charger" in charger.synonyms


def test_a_register_that_was_never_given_general_categories_gets_none(here: WorkedSite) -> None:
    assert seed_later_categories(here.register) == ()
    kind = {"appliance_class": ApplianceClass.CLASS_I, "equipment_type": EquipmentType.PORTABLE}
    add_category(here.register, WHO, code="KET", name="Kettle", **kind)  # type: ignore[arg-type]
    assert seed_later_categories(here.register) == ()
