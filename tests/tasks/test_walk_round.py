"""Walking round: one typed line becomes one item or several."""

import pytest

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType
from appreg.core.records.kept_records import Appliance, Category
from appreg.core.rules.item_facts import connection_of
from appreg.errors import InputRefused
from appreg.tasks.records.add_walked_items import add_walked_items, counted, preview_items, suggest_categories
from appreg.tasks.records.seed_categories import seed_categories
from tests.tasks.worked_site import WHO, WorkedSite


@pytest.fixture
def seeded(here: WorkedSite) -> WorkedSite:
    """A site in a register with the general categories."""
    seed_categories(here.register, WHO)
    return here


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("4 desk lamp", (4, "desk lamp")),
        ("  kettle ", (1, "kettle")),
        ("110 V drill", (1, "110 V drill")),
        ("2 kW heater", (1, "2 kW heater")),
        ("4 way lead", (1, "4 way lead")),
        ("3 phase saw", (1, "3 phase saw")),
        ("3-phase saw", (1, "3-phase saw")),
        ("2 slice toaster", (1, "2 slice toaster")),
        ("2 bar heater", (1, "2 bar heater")),
        ("5 metre extension", (1, "5 metre extension")),
        ("13 amp lead", (1, "13 amp lead")),
        ("12 volt lamp", (1, "12 volt lamp")),
        ("3 phase converters", (1, "3 phase converters")),
        ("2 plates", (2, "plates")),
        ("3 chargers", (3, "chargers")),
        ("0 lamp", (1, "0 lamp")),
        ("51 lamp", (1, "51 lamp")),
        ("50 lamp", (50, "lamp")),
        ("4", (1, "4")),
        ("", (1, "")),
    ],
)
def test_a_bare_number_before_a_name_repeats_it(typed: str, expected: tuple[int, str]) -> None:
    assert counted(typed) == expected


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("ket", "Kettle"),
        ("KET", "Kettle"),
        ("table l", "Table lamp"),
        ("tabl", "Table fan"),
        ("oven", "Microwave oven"),
        ("blue kettle", "Kettle"),
        ("old hair dryer, red", None),
        ("big hair dryer red", "Hair dryer"),
        ("drill 110", "Drill 110 V"),
        ("zzz", None),
        ("", None),
    ],
)
def test_what_is_typed_suggests_the_nearest_category(seeded: WorkedSite, typed: str, first: str | None) -> None:
    found = suggest_categories(seeded.register, typed)
    assert (found[0].name if found else None) == first
    assert len(found) <= 5


@pytest.mark.parametrize(
    ("typed", "volts", "phases"),
    [
        ("drill 110 v", 110, 1),
        ("12 volt lamp", 12, 1),
        ("3 phase saw", 230, 3),
        ("Three-phase welder", 230, 3),
        ("compressor 400 V", 400, 3),
        ("us transformer 230/110 v", 230, 1),
        ("110 V transformer", 230, 1),
        ("12 v phone charger", 230, 1),
        ("24V power supply", 230, 1),
        ("phaser, 5 v", 230, 1),
        ("impact driver 110 v", 110, 1),
        ("LED driver 12 V", 230, 1),
        ("inverter welder 400 v", 400, 3),
    ],
)
def test_a_name_tells_the_supply_but_what_gives_another_voltage_does_not(
    seeded: WorkedSite, typed: str, volts: int, phases: int
) -> None:
    # Read as its supply, the 12 V that a charger gives would scale its substitute reading down.
    (item,) = add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed=typed)
    assert (item.rated_volts, item.phases) == (volts, phases)


@pytest.mark.parametrize(
    ("typed", "code", "fuse", "connection"),
    [
        ("extension lead 110 v", "EXT", None, Connection.PLUG),
        ("3-phase bandsaw", "BSW", None, Connection.INDUSTRIAL),
        ("bandsaw 400 v", "BSW", None, Connection.INDUSTRIAL),
        ("blue kettle 230 v", "KET", 13, Connection.PLUG),
    ],
)
def test_a_supply_without_fused_plugs_leaves_the_fuse_of_the_category_out(
    seeded: WorkedSite, typed: str, code: str, fuse: int | None, connection: Connection
) -> None:
    (category,) = seeded.register.find(Category, code=code)
    (item,) = add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed=typed, category=category.uid)
    assert (item.fuse_a, connection_of(item)) == (fuse, connection)


def test_a_line_adds_as_many_items_as_it_says_with_tags_in_order(seeded: WorkedSite) -> None:
    added = add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed="4 desk lamp")
    assert [item.tag for item in added] == ["HR-001", "HR-002", "HR-003", "HR-004"]
    assert {item.name for item in added} == {"Desk lamp"}
    assert {item.appliance_class for item in added} == {ApplianceClass.CLASS_II}
    assert seeded.register.find(Appliance) == sorted(added, key=lambda item: item.uid)


def test_the_preview_is_what_is_added(seeded: WorkedSite) -> None:
    line = preview_items(seeded.register, seeded.kitchen.uid, "2 kettle", power_w=3000)
    added = add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed="2 kettle", power_w=3000)
    assert (line.count, line.name, line.tags) == (2, "Kettle", ("HR-001", "HR-002"))
    assert line.like is not None
    assert line.category is not None
    assert line.category.code == "KET"
    assert (line.like.power_w, line.like.cord_csa_mm2) == (added[0].power_w, added[0].cord_csa_mm2)


def test_nothing_typed_previews_nothing_and_adds_nothing(seeded: WorkedSite) -> None:
    assert preview_items(seeded.register, seeded.kitchen.uid, "  ").like is None
    with pytest.raises(InputRefused, match="nothing is typed"):
        add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed=" ")


def test_an_unknown_kind_of_item_is_of_unknown_class(seeded: WorkedSite) -> None:
    (item,) = add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed="zither amplitron")
    assert (item.name, item.category) == ("Zither amplitron", None)
    assert (item.appliance_class, item.equipment_type) == (ApplianceClass.UNKNOWN, EquipmentType.PORTABLE)


def test_a_longer_name_is_kept_as_typed(seeded: WorkedSite) -> None:
    (item,) = add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed="blue kettle")
    assert item.name == "Blue kettle"


def test_another_suggestion_a_name_and_a_tag_may_be_chosen(seeded: WorkedSite) -> None:
    (fan,) = seeded.register.find(Category, code="FAN")
    (item,) = add_walked_items(
        seeded.register,
        WHO,
        location=seeded.kitchen.uid,
        typed="table",
        category=fan.uid,
        name="Fan on the table",
        tag="x-1",
    )
    assert (item.category, item.name, item.tag) == (fan.uid, "Fan on the table", "X-1")
    with pytest.raises(InputRefused, match="one tag cannot stand on 2 items"):
        add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed="2 kettle", tag="y")


def tags_after(here: WorkedSite, *own: str) -> list[str]:
    """The number that the next item would get after items with tags of their own."""
    for tag in own:
        add_walked_items(here.register, WHO, location=here.kitchen.uid, typed="kettle", tag=tag)
    return list(preview_items(here.register, here.kitchen.uid, "2 kettle").tags)


def test_numbers_go_on_from_a_tag_of_the_sites_own_kind_and_leave_others_alone(seeded: WorkedSite) -> None:
    assert tags_after(seeded, "hr-120") == ["HR-121", "HR-122"]
    assert tags_after(seeded, "OLD-0041", "HR-7A", "000500", "[red]", "=1+1") == ["HR-121", "HR-122"]
    assert tags_after(seeded, "HR-20261124001") == ["HR-121", "HR-122"]
    assert tags_after(seeded, "HR-999998", "HR-999999") == ["HR-1000000", "HR-1000001"]
    assert tags_after(seeded, "HR-1000000") == ["HR-1000002", "HR-1000003"]


def test_a_tag_that_is_taken_is_refused_by_naming_the_item_that_has_it(seeded: WorkedSite) -> None:
    tags_after(seeded, "OLD-1")
    with pytest.raises(InputRefused, match=r"OLD-1 is on another item \(Kettle\); choose another"):
        add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed="toaster", tag="old-1")


def test_a_line_that_cannot_be_added_adds_none_of_its_items(seeded: WorkedSite) -> None:
    with pytest.raises(InputRefused, match="power"):
        add_walked_items(seeded.register, WHO, location=seeded.kitchen.uid, typed="3 kettle", power_w=-1)
    assert seeded.register.find(Appliance) == []
