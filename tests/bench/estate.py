"""A generated estate: many sites of every kind, each item inspected at some past visit by the interval it has."""

import random
import sys
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Category,
    Client,
    FindingRecord,
    Inspection,
    InspectionKind,
    Location,
    Person,
    Record,
    Site,
    Visit,
)
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register, open_register
from appreg.schedule.due_dates import next_dates
from appreg.tasks.desk.find_rules import RuleFinder
from tests.bench.bench_registers import TODAY, bench_folder

ENVIRONMENTS: Final = ("low-risk", "low-risk", "low-risk", "public", "light-industrial", "construction-office")
KINDS: Final = (
    ("KET", "Kettle", ApplianceClass.CLASS_I, EquipmentType.PORTABLE),
    ("LMP", "Desk lamp", ApplianceClass.CLASS_II, EquipmentType.PORTABLE),
    ("EXT", "Extension lead", ApplianceClass.CLASS_I, EquipmentType.EXTENSION_LEAD),
    ("MON", "Monitor", ApplianceClass.CLASS_I, EquipmentType.IT),
    ("DRL", "Drill", ApplianceClass.CLASS_II, EquipmentType.HAND_HELD),
    ("FAN", "Fan heater", ApplianceClass.CLASS_I, EquipmentType.PORTABLE),
)
LOCATIONS: Final = 5
VISITS: Final = 4
_FAILS: Final = 0.02


class _Place(Struct):
    site: Site
    locations: list[Location]
    visits: list[Visit]


def estate_register(sites: int, items_a_site: int, folder: Path | None = None) -> Path:
    """Return the register of an estate of this size, building it where it is not there yet."""
    folder = folder or bench_folder()
    path = folder / f"estate-{sites}x{items_a_site}.appreg"
    if not path.exists():
        building = folder / f"building-estate-{sites}x{items_a_site}.appreg"
        for left in ("", "-wal", "-shm"):
            building.with_name(building.name + left).unlink(missing_ok=True)
        with open_register(building) as register:
            fill_estate(register, sites, items_a_site)
            register.tune()
        building.rename(path)
    return path


def fill_estate(register: Register, sites: int, items_a_site: int) -> None:
    """Put an estate into a register; the same one for the same size."""
    chance = random.Random(sites * 1_000_003 + items_a_site)
    with register.change("bench") as change:
        client = Client(uid=change.new_uid(), name="Millbrook Estates")
        person = Person(uid=change.new_uid(), name="Ada Brook", initials="AB")
        categories = [
            Category(uid=change.new_uid(), code=code, name=name, appliance_class=kind, equipment_type=of)
            for code, name, kind, of in KINDS
        ]
        change.put_many([client, person, *categories])
        for number in range(sites):
            place = _place(register, client, person, number, chance)
            bare = [_item(register, place, categories, at, chance) for at in range(items_a_site)]
            change.put_many([place.site, *place.locations, *place.visits, *bare])
            rules = RuleFinder(register)
            change.put_many(list(_inspected(register, rules, place, bare, chance)))


def _place(register: Register, client: Client, person: Person, number: int, chance: random.Random) -> _Place:
    site = Site(
        uid=register.new_uid(),
        client=client.uid,
        name=f"Site {number:03}",
        prefix=f"E{number:03}",
        environment=chance.choice(ENVIRONMENTS),
    )
    locations = [
        Location(
            uid=register.new_uid(),
            site=site.uid,
            name=f"Room {at + 1}",
            environment=chance.choice(("", "", "", "public")),
        )
        for at in range(LOCATIONS)
    ]
    visits = [
        Visit(
            uid=register.new_uid(),
            site=site.uid,
            date=TODAY - timedelta(days=chance.randrange(1, 360)),
            person=person.uid,
        )
        for _ in range(VISITS)
    ]
    return _Place(site, locations, visits)


def _item(register: Register, place: _Place, categories: list[Category], at: int, chance: random.Random) -> Appliance:
    category = chance.choice(categories)
    return Appliance(
        uid=register.new_uid(),
        site=place.site.uid,
        location=chance.choice(place.locations).uid,
        category=category.uid,
        tag=AssetTag(f"{place.site.prefix}-{at + 1:04}"),
        name=category.name,
        appliance_class=category.appliance_class,
        equipment_type=category.equipment_type,
    )


def _inspected(
    register: Register, rules: RuleFinder, place: _Place, items: list[Appliance], chance: random.Random
) -> Iterator[Record]:
    for item in items:
        visit = chance.choice(place.visits)
        failed = chance.random() < _FAILS
        inspection = Inspection(
            uid=register.new_uid(),
            appliance=item.uid,
            visit=visit.uid,
            date=visit.date,
            kind=InspectionKind.COMBINED,
            person=visit.person,
            rule_book="gb",
            rule_book_version="gb 1",
            outcome=Outcome.FAIL if failed else Outcome.PASS,
            item_facts="{}",
        )
        yield inspection
        yield _finding(register, inspection, chance)
        dates = next_dates(rules.answer(item), inspected=visit.date, tested=visit.date, longer=False)
        yield replace(
            item,
            last_inspection=inspection.uid,
            last_date=visit.date,
            last_outcome=inspection.outcome,
            next_visual=dates.visual,
            next_test=dates.test,
        )


def _finding(register: Register, inspection: Inspection, chance: random.Random) -> FindingRecord:
    failed = inspection.outcome is Outcome.FAIL
    return FindingRecord(
        uid=register.new_uid(),
        inspection=inspection.uid,
        position=1,
        check_name=chance.choice(("visual", "earth-continuity")) if failed else "visual",
        reading="",
        unit="",
        finding=(CheckResult.FAIL if failed else CheckResult.PASS).value,
        arithmetic="",
        source="",
        basis="",
    )


def sites_of(register: Register) -> list[Uid]:
    """The sites by name."""
    return [site.uid for site in sorted(register.find(Site), key=lambda each: each.name)]


if __name__ == "__main__":
    print(estate_register(int(sys.argv[1]), int(sys.argv[2])))
