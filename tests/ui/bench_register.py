"""A small register for the tests of the Bench: one visit at an invented flat, items of each kind on it."""

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import TypedDict, Unpack

from msgspec import Struct

from appreg.clock import Instant
from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdKind
from appreg.core.records.kept_records import Appliance, Visit
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.ui.app import AppregApp
from appreg.ui.screens.bench.bench_screen import BenchScreen
from tests.postgres_server import place_for

TODAY = date(2026, 11, 24)
NOON = 1795521600000
"""2026-11-24 12:00 UTC, ms."""
WHO = "AB"


class Facts(TypedDict, total=False):
    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    cord_csa_mm2: Decimal | None
    cord_length_m: Decimal | None
    fuse_a: Decimal | None
    power_w: int | None
    heating: bool
    microwave: bool
    rcd: RcdKind | None
    rcd_rating_ma: Decimal | None
    unsuitable_500v: bool
    phases: int


LAMP = Facts(
    appliance_class=ApplianceClass.CLASS_II,
    equipment_type=EquipmentType.PORTABLE,
    cord_csa_mm2=Decimal("0.75"),
    cord_length_m=Decimal("1.5"),
    fuse_a=Decimal(3),
    power_w=60,
)
KETTLE = Facts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.PORTABLE,
    cord_csa_mm2=Decimal("0.75"),
    cord_length_m=Decimal("0.8"),
    fuse_a=Decimal(13),
    power_w=2200,
    heating=True,
)
MICROWAVE_OVEN = Facts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.STATIONARY,
    cord_csa_mm2=Decimal("1.0"),
    cord_length_m=Decimal("1.2"),
    fuse_a=Decimal(13),
    power_w=1400,
    microwave=True,
)
RCD_LEAD = Facts(
    appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.EXTENSION_LEAD,
    cord_csa_mm2=Decimal("1.5"),
    cord_length_m=Decimal(5),
    fuse_a=Decimal(13),
    rcd=RcdKind.GENERAL,
    rcd_rating_ma=Decimal(30),
)


class BenchTable(Struct, frozen=True):
    """What the tests work on."""

    register: Register
    visit: Visit
    items: tuple[Appliance, ...]

    def app(self) -> AppregApp:
        """The app over the register, with a clock that stands still."""
        return AppregApp(self.register, today=TODAY, who=WHO, clock=lambda: Instant(NOON))

    def uid(self, place: int) -> Uid:
        """The key of an item by its place."""
        return self.items[place].uid

    def item(self, place: int) -> Appliance:
        """An item as the register now has it."""
        return self.register.get(Appliance, self.uid(place))


def lay_table(path: Path, *items: tuple[str, Facts], accuracy: str = "", on: date = TODAY) -> BenchTable:
    """A register with one visit and these items."""
    register = open_register(place_for(path), clock=lambda: Instant(NOON))
    client = add_client(register, WHO, name="Harbour Lets")
    site = add_site(
        register, WHO, client=client.uid, name="Harbour Row 14", prefix="HR", environment="light-industrial"
    )
    kitchen = add_location(register, WHO, site=site.uid, name="Flat 2, kitchen")
    person = add_person(register, WHO, name="A. Bench", initials="AB", qualifications="in-service inspection")
    instrument = add_instrument(
        register, WHO, name="tester", serial="4711", calibration_due=date(2027, 5, 1), accuracy=accuracy
    )
    added = tuple(_add(register, site.uid, kitchen.uid, name, **facts) for name, facts in items)
    visit = start_visit(register, WHO, site=site.uid, on=on, person=person.uid, instrument=instrument.uid)
    return BenchTable(register, visit, added)


def _add(register: Register, site: Uid, location: Uid, name: str, **facts: Unpack[Facts]) -> Appliance:
    return add_appliance(register, WHO, site=site, location=location, name=name, **facts)


def bench_of(app: AppregApp) -> BenchScreen:
    """The bench as the screen on top."""
    screen = app.screen
    assert isinstance(screen, BenchScreen)
    return screen
