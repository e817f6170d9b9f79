"""A small register for the list screens: two sites, items in every state, the same keys every time."""

import random
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

from msgspec.structs import replace

from appreg.clock import Clock, Instant
from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.checks import EarthEntry, Entries, InsulationEntry
from appreg.core.records.kept_records import Appliance, InspectionKind, Instrument, Location, Person, Site
from appreg.core.values.readings import Unit, parse_reading
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.ui.app import AppregApp
from tests.postgres_server import place_for

TODAY: Final = date(2026, 11, 24)
WHO: Final = "test"
NAMES: Final = ("Desk lamp", "Kettle", "Extension lead", "Wheel", "[red]Kiln[/red]", "Glue gun")


def build_register(path: Place) -> Register:
    """Kiln Lane: a failed kettle, overdue and due items, one never inspected; Harbour Row: in date, and one overdue."""
    place = place_for(path) if isinstance(path, Path) else path
    if not isinstance(place, Path):
        return _built(place, random.Random(7))
    file, state = _built_once()
    place.write_bytes(file)
    chance = random.Random(7)
    chance.setstate(state)
    return _opened(place, chance)


@cache
def _built_once() -> tuple[bytes, Any]:
    """The file of such a register, and what chance goes on from: each test has a copy of its own."""
    with TemporaryDirectory() as folder:
        chance = random.Random(7)
        path = Path(folder, "list.appreg")
        _built(path, chance).close()
        return path.read_bytes(), chance.getstate()


def _opened(place: Place, chance: random.Random) -> Register:
    return open_register(place, clock=lambda: Instant(1_790_000_000_000), entropy=chance.getrandbits)


def _built(place: Place, chance: random.Random) -> Register:
    register = _opened(place, chance)
    client = add_client(register, WHO, name="Mill Bridge Trust")
    person = add_person(register, WHO, name="Ada Brook", initials="AB", qualifications="Inspection and test")
    tester = add_instrument(register, WHO, name="Bench tester", serial="42", calibration_due=date(2027, 3, 1))
    kiln = add_site(register, WHO, client=client.uid, name="Kiln Lane pottery", prefix="KL", environment="public")
    harbour = add_site(register, WHO, client=client.uid, name="Harbour Row 14", prefix="HR", environment="low-risk")
    for site, room in ((kiln, "Studio"), (harbour, "Flat 2")):
        location = add_location(register, WHO, site=site.uid, name=room)
        items = [_item(register, site, location, name) for name in NAMES]
        _visit(register, site, on=date(2025, 11, 3), items=items[:5], person=person, tester=tester)
    first = items_of(register, kiln)[:1]
    _visit(register, kiln, on=date(2026, 10, 24), items=first, person=person, tester=tester)
    return register


def items_of(register: Register, site: Site) -> list[Appliance]:
    """The items of a site by tag."""
    return sorted(register.find(Appliance, site=site.uid), key=lambda item: item.tag)


def tagged(register: Register, tag: str) -> Appliance:
    """The item with a tag."""
    return register.find(Appliance, tag=tag)[0]


def app_on(register: Register) -> AppregApp:
    """The app on a register, on the day of the tests."""
    return AppregApp(register, today=TODAY, who=WHO)


def clock_with_gap(gap: int) -> Clock:
    """A clock that goes on by so many milliseconds each time it is read."""

    def ticks() -> Iterator[int]:
        now = 1_795_521_600_000
        while True:
            now += gap
            yield now

    going = ticks()
    return lambda: Instant(next(going))


def _item(register: Register, site: Site, location: Location, name: str) -> Appliance:
    return add_appliance(
        register,
        WHO,
        site=site.uid,
        location=location.uid,
        name=name,
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
        cord_csa_mm2=Decimal("0.75"),
        cord_length_m=Decimal("1.5"),
        fuse_a=Decimal(3),
        power_w=600,
    )


def _visit(
    register: Register, site: Site, *, on: date, items: list[Appliance], person: Person, tester: Instrument
) -> None:
    visit = start_visit(register, WHO, site=site.uid, on=on, person=person.uid, instrument=tester.uid)
    for item in items:
        fails = item.tag == "KL-002"
        entries = Entries(
            visual=True,
            earth=EarthEntry(reading=parse_reading("1.4" if fails else "0.08", Unit.OHM)),
            insulation=None if fails else InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM)),
            functional=None if fails else True,
        )
        record_inspection(
            register, WHO, appliance=item.uid, visit=visit.uid, kind=InspectionKind.COMBINED, entries=entries
        )


def bring_in_date(register: Register) -> Register:
    """Put off what is overdue, so that the labels of its items may be printed."""
    later = TODAY + timedelta(days=300)
    with register.change(WHO) as change:
        for each in register.find(Appliance):
            if each.next_test is not None and each.next_test < later:
                change.put(replace(each, next_test=later, next_visual=later))
    return register
