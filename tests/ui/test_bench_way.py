"""The way through a visit: the next item is found without going through those that are done."""

from typing import Any

from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.kept_records import Appliance, AssetTag, InspectionKind, Location
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.tasks.inspecting.open_bench import Recorded, VisitItem
from appreg.ui.screens.bench.bench_walk import Walk, inspection_in, neighbour, next_to_do

SITE, ROOM = Uid("site"), Uid("room")


def item(number: int) -> VisitItem:
    appliance = Appliance(
        uid=Uid(f"item {number}"),
        site=SITE,
        location=ROOM,
        tag=AssetTag(f"HR-{number:03}"),
        name="Desk lamp",
        appliance_class=ApplianceClass.CLASS_II,
        equipment_type=EquipmentType.PORTABLE,
    )
    return VisitItem(appliance=appliance, location=Location(uid=ROOM, site=SITE, name="hall"), inspection=None)


def done(before: VisitItem) -> VisitItem:
    return replace(
        before, inspection=Recorded(Uid(f"of {before.appliance.uid}"), InspectionKind.COMBINED, Outcome.PASS)
    )


class Counted(Walk):
    """Counts the items that were looked at."""

    looked = 0

    def __getitem__(self, place: Any) -> Any:
        self.looked += 1
        return super().__getitem__(place)


def test_the_next_is_the_first_behind_that_is_not_done_and_from_the_top_again() -> None:
    items = [item(number) for number in range(5)]
    walk = Walk([items[0], done(items[1]), items[2], done(items[3]), done(items[4])])
    assert next_to_do(walk, Uid("item 0")) == "item 2"
    assert next_to_do(walk, Uid("item 2")) == "item 0"
    assert next_to_do(walk, Uid("item 4")) == "item 0"
    assert next_to_do(walk, Uid("none of them")) == "item 0"
    assert next_to_do(Walk([items[0]]), Uid("item 0")) is None
    assert next_to_do(Walk(), Uid("item 0")) is None
    assert (neighbour(walk, Uid("item 0"), 1), neighbour(walk, Uid("item 0"), -1)) == ("item 1", None)
    assert neighbour(walk, Uid("item 4"), 1) is None


def test_an_item_that_changed_or_went_is_found_as_it_is_now_and_the_walk_before_stays_as_it_was() -> None:
    walk = Walk([item(number) for number in range(3)])
    kept = walk.with_item(Uid("item 1"), done(walk[1]))
    assert inspection_in(walk, Uid("item 1")) is None
    assert inspection_in(kept, Uid("item 1")) is not None
    gone = kept.with_item(Uid("item 0"), None)
    assert [each.appliance.tag for each in gone] == ["HR-001", "HR-002"]
    assert (gone.place_of(Uid("item 0")), gone.place_of(Uid("item 2")), kept.place_of(Uid("item 2"))) == (-1, 1, 2)
    assert gone.item(Uid("item 0")) is None
    assert gone.with_item(Uid("item 0"), item(0)) is gone


def test_late_on_a_long_walk_the_next_item_is_found_with_one_look() -> None:
    walk = Counted([done(item(number)) if number < 1000 else item(number) for number in range(1200)])
    assert next_to_do(walk, Uid("item 999")) == "item 1000"
    assert walk.looked == 1
