"""A small invented site in a register of its own, with the people and tools a visit needs."""

import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from itertools import count
from pathlib import Path

from msgspec import Struct

from appreg.clock import Clock, Instant
from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.checks import EarthEntry, Entries, InsulationEntry
from appreg.core.records.kept_records import (
    Appliance,
    Client,
    InspectionKind,
    Instrument,
    Location,
    Person,
    Site,
    Visit,
)
from appreg.core.values.readings import Unit, parse_reading
from appreg.core.values.uids import Uid
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.inspecting.record_inspection import SavedInspection, record_inspection
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from tests.postgres_server import place_for

WHO = "tester"
TODAY = date(2026, 11, 24)


def ticking_clock(start: int = 1_795_000_000_000) -> Clock:
    """A clock that gains a second each time it is read."""
    ticks = count(start, 1000)
    return lambda: Instant(next(ticks))


class WorkedSite(Struct):
    """The register and the records every test of a visit needs."""

    register: Register
    client: Client
    site: Site
    kitchen: Location
    person: Person
    instrument: Instrument

    def visit(self, on: date = TODAY) -> Visit:
        """Start a visit."""
        return start_visit(
            self.register, WHO, site=self.site.uid, on=on, person=self.person.uid, instrument=self.instrument.uid
        )

    def kettle(self, tag: str = "") -> Appliance:
        """A Class I item with a known cord: 0.75 mm², 0.8 m, limit 0.1208 Ω."""
        return add_appliance(
            self.register,
            WHO,
            site=self.site.uid,
            location=self.kitchen.uid,
            name="Kettle",
            tag=tag,
            appliance_class=ApplianceClass.CLASS_I,
            equipment_type=EquipmentType.PORTABLE,
            cord_csa_mm2=Decimal("0.75"),
            cord_length_m=Decimal("0.8"),
            fuse_a=Decimal(13),
            power_w=2200,
            heating=True,
        )

    def again(self, item: Appliance | Uid) -> Appliance:
        """The item as the register has it now."""
        return self.register.get(Appliance, item if isinstance(item, str) else item.uid)

    def record(
        self,
        item: Appliance,
        entries: Entries,
        visit: Visit | None = None,
        *,
        kind: InspectionKind = InspectionKind.COMBINED,
        supersedes: Uid | None = None,
        reason: str = "",
        put_right: str | None = None,
    ) -> SavedInspection:
        """Record an inspection; where a failure stands it is said to be repaired, unless the test says what was done."""
        waits = any(not each.repair for each in open_actions(self.register, item.uid))
        return record_inspection(
            self.register,
            WHO,
            appliance=item.uid,
            visit=(visit or self.visit()).uid,
            kind=kind,
            entries=entries,
            supersedes=supersedes,
            reason=reason,
            put_right=("repaired" if waits and not supersedes else "") if put_right is None else put_right,
        )


@contextmanager
def worked_site(
    folder: Path,
    *,
    place: Place | None = None,
    environment: str = "low-risk",
    landlord_profile: str = "",
    qualifications: str = "level 3",
) -> Iterator[WorkedSite]:
    """Open a new register with one site in it, in a folder or at a place."""
    entropy = random.Random(7).getrandbits
    with open_register(
        place or place_for(folder / "register.sqlite"), clock=ticking_clock(), entropy=entropy
    ) as register:
        client = add_client(register, WHO, name="Row Lettings", address="1 Quay, Ellarig")
        site = add_site(
            register,
            WHO,
            client=client.uid,
            name="Harbour Row",
            prefix="HR",
            environment=environment,
            address="14 Harbour Row",
            landlord_profile=landlord_profile,
        )
        yield WorkedSite(
            register=register,
            client=client,
            site=site,
            kitchen=add_location(register, WHO, site=site.uid, name="Kitchen"),
            person=add_person(
                register, WHO, name="Wren A", initials="WA", address="5 Yard", qualifications=qualifications
            ),
            instrument=add_instrument(
                register, WHO, name="Bench tester", serial="BT-1", calibration_due=date(2027, 4, 30)
            ),
        )


def combined(*, earth: str = "0.08", insulation: str = ">299", visual: bool = True, functional: bool = True) -> Entries:
    """What is entered for a kettle; an empty reading is not done."""
    return Entries(
        visual=visual,
        earth=EarthEntry(reading=parse_reading(earth, Unit.OHM)) if earth else None,
        insulation=InsulationEntry(reading=parse_reading(insulation, Unit.MEGOHM), volts=500) if insulation else None,
        functional=functional,
    )
