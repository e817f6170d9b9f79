"""Registers of a given size for the benchmarks: invented items, a fifth of them overdue."""

import os
import random
import tempfile
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Final

from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Client,
    Inspection,
    InspectionKind,
    Location,
    Person,
    Site,
    Visit,
)
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register, open_register

TODAY: Final = date(2026, 11, 24)
NAMES: Final = ("Kettle", "Desk lamp", "Extension lead", "Bench grinder", "Monitor", "Fan heater", "Drill", "Toaster")
MAKES: Final = ("Arden", "Brindle", "Calder", "Dunmore", "Esk", "Farrow")
ITEMS_A_SITE: Final = 250


def bench_folder() -> Path:
    """Where built registers are kept from one run to the next: APPREG_BENCH_FOLDER, else below the temporary files."""
    folder = Path(os.environ.get("APPREG_BENCH_FOLDER") or tempfile.gettempdir()) / "appreg-bench"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def register_of(count: int, folder: Path) -> Path:
    """Return the register with so many items, building it where it is not there yet."""
    path = folder / f"items-{count}.appreg"
    if not path.exists():
        building = folder / f"building-{count}.appreg"
        with open_register(building) as register:
            _fill(register, count)
            register.tune()
        building.rename(path)
    return path


def _fill(register: Register, count: int) -> None:
    chance = random.Random(count)
    with register.change("bench") as change:
        client = Client(uid=change.new_uid(), name="Millbrook Estates")
        person = Person(uid=change.new_uid(), name="Ada Brook", initials="AB")
        change.put(client)
        change.put(person)
        for number in range(-(-count // ITEMS_A_SITE)):
            wanted = min(ITEMS_A_SITE, count - number * ITEMS_A_SITE)
            site = Site(
                uid=change.new_uid(),
                client=client.uid,
                name=f"Site {number:03}",
                prefix=f"S{number:03}",
                environment="low-risk",
            )
            location = Location(uid=change.new_uid(), site=site.uid, name="Hall")
            visit = Visit(uid=change.new_uid(), site=site.uid, date=TODAY - timedelta(days=200), person=person.uid)
            for record in (site, location, visit):
                change.put(record)
            bare = [_item(register, site, location, place, chance) for place in range(wanted)]
            change.put_many(bare)
            inspections = [_inspection(register, item, visit) for item in bare]
            change.put_many(inspections)
            change.put_many(_inspected(bare, inspections, chance))


def _item(register: Register, site: Site, location: Location, place: int, chance: random.Random) -> Appliance:
    return Appliance(
        uid=register.new_uid(),
        site=site.uid,
        location=location.uid,
        tag=AssetTag(f"{site.prefix}-{place + 1:03}"),
        name=chance.choice(NAMES),
        make=chance.choice(MAKES),
        serial=f"{chance.randrange(10**8):08}",
        appliance_class=chance.choice((ApplianceClass.CLASS_I, ApplianceClass.CLASS_II)),
        equipment_type=EquipmentType.PORTABLE,
    )


def _inspection(register: Register, item: Appliance, visit: Visit) -> Inspection:
    return Inspection(
        uid=register.new_uid(),
        appliance=item.uid,
        visit=visit.uid,
        date=visit.date,
        kind=InspectionKind.COMBINED,
        person=visit.person,
        rule_book="gb",
        rule_book_version="gb 1",
        outcome=Outcome.PASS,
        item_facts="{}",
    )


def _inspected(items: list[Appliance], inspections: list[Inspection], chance: random.Random) -> Iterator[Appliance]:
    for item, inspection in zip(items, inspections, strict=True):
        due = TODAY + timedelta(days=chance.randrange(-100, 400))
        yield replace(
            item,
            last_inspection=Uid(inspection.uid),
            last_date=inspection.date,
            last_outcome=inspection.outcome,
            next_visual=due,
            next_test=due + timedelta(days=365),
        )
