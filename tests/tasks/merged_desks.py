"""Desks that work on copies of one register, each on a machine of its own with a clock of its own."""

import gc
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from appreg.clock import Instant
from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import (
    Appliance,
    Inspection,
    InspectionKind,
    Instrument,
    Location,
    Person,
    Site,
    StatedInspection,
    Visit,
)
from appreg.core.records.stated_outcomes import StatedOutcome
from appreg.errors import InputRefused
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.keeping.copy_register import copy_register
from appreg.tasks.keeping.keep_chains import OwnChains, note_made_here
from appreg.tasks.keeping.merge_registers import Merged, merge_registers
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from appreg.tasks.standing.keep_stated import keep_stated
from tests.postgres_server import PostgresServer
from tests.tasks.worked_site import combined

START = Instant(1_790_000_000_000)
TODAY = date(2026, 9, 22)
HOUR = 3_600_000


class Desk:
    """A machine with a register."""

    def __init__(self, folder: Path, *, ahead: int = 0) -> None:
        """`ahead`: hours that its clock is ahead of the others."""
        self.folder = folder
        folder.mkdir(parents=True, exist_ok=True)
        self.path = folder / "register.appreg"
        self.environ = {"XDG_STATE_HOME": str(folder / "state"), "HOME": str(folder)}
        self.ahead = ahead
        self._now = START + ahead * HOUR

    @property
    def place(self) -> Place:
        """Where its register is kept."""
        return self.path

    def clock(self) -> Instant:
        """A second later each time."""
        self._now += 1000
        return Instant(self._now)

    @contextmanager
    def open(self) -> Iterator[Register]:
        """Its register."""
        with open_register(self.place, clock=self.clock, create=False) as register:
            register.writing_place = OwnChains(self.environ)
            yield register

    def copied_to(self, other: "Desk") -> "Desk":
        """Copy the file with all that was saved in it; a file that stands there keeps its number."""
        gc.collect()  # a connection that a refused change still holds would take the new file's -wal with it
        whole = other.folder / "whole"
        with closing(sqlite3.connect(self.path)) as source, closing(sqlite3.connect(whole)) as target:
            source.backup(target)
        for end in ("-wal", "-shm"):
            other.path.with_name(other.path.name + end).unlink(missing_ok=True)
        shutil.copyfile(whole, other.path)
        whole.unlink()
        return other

    def take_in(self, other: "Desk", *, only_tried: bool = False) -> Merged:
        """Merge another's register into its own."""
        with self.open() as register:
            return merge_registers(
                register, "Mer", other.place, settings=Settings(), now=self.clock(), only_tried=only_tried
            )


class ServerDesk(Desk):
    """A desk whose register is in a database."""

    def __init__(self, folder: Path, server: PostgresServer, *, ahead: int = 0) -> None:
        super().__init__(folder, ahead=ahead)
        self._database = server.new_place(self.path)

    @property
    def place(self) -> Place:
        """The database."""
        return self._database

    def carried_from(self, other: Desk) -> "ServerDesk":
        """Copy another's register into the database."""
        with other.open() as register:
            copy_register(register, self._database)
        return self


class School(Struct, frozen=True):
    """What the desks have in common."""

    site: Site
    location: Location
    person: Person
    visit: Visit
    items: tuple[Appliance, ...]


def first_desk(folder: Path, items: int = 3) -> tuple[Desk, School]:
    """A register of one school, made on the first machine."""
    desk = Desk(folder)
    with open_register(desk.path, clock=desk.clock) as register:
        note_made_here(register, desk.environ)
    with desk.open() as register:
        client = add_client(register, "Ann", name="Owner")
        site = add_site(
            register, "Ann", client=client.uid, name="Moor School", prefix="MS", environment="public",
        )  # fmt: skip
        place = add_location(register, "Ann", site=site.uid, name="Hall")
        person = add_person(register, "Ann", name="Ann Field", initials="AF")
        visit = start_visit(register, "Ann", site=site.uid, on=TODAY, person=person.uid)
        kettles = tuple(add_kettle(register, site, place, f"Kettle {number}") for number in range(items))
    return desk, School(site, place, person, visit, kettles)


def add_kettle(register: Register, site: Site, place: Location, name: str) -> Appliance:
    """An item of Class I."""
    return add_appliance(
        register, "Ann", site=site.uid, location=place.uid, name=name,
        appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE,
    )  # fmt: skip


def look(register: Register, school: School, item: Appliance, *, passes: bool) -> Inspection:
    """A formal visual inspection."""
    return record_inspection(
        register, "Ann", appliance=item.uid, visit=school.visit.uid, kind=InspectionKind.VISUAL,
        entries=Entries(visual=passes),
    ).inspection  # fmt: skip


def tried(
    register: Register, school: School, item: Appliance, entries: Entries, *, who: str = "Ann", put_right: str = ""
) -> Inspection:
    """An inspection and test on a visit of that desk's own."""
    instrument = add_instrument(register, who, name="Tester", serial=str(len(register.find(Instrument))))
    visit = start_visit(
        register, who, site=school.site.uid, on=TODAY, person=school.person.uid, instrument=instrument.uid
    )
    return record_inspection(
        register, who, appliance=item.uid, visit=visit.uid, kind=InspectionKind.COMBINED, entries=entries,
        put_right=put_right,
    ).inspection  # fmt: skip


def _correct(register: Register, who: str, *, passes: bool) -> None:
    last = [each for each in register.find(Inspection) if each.kind is InspectionKind.VISUAL][-1]
    record_inspection(
        register, who, appliance=last.appliance, visit=last.visit, kind=last.kind, entries=Entries(visual=passes),
        supersedes=last.uid, reason="looked again",
    )  # fmt: skip


def _state(register: Register, who: str, item: Appliance, *, passes: bool) -> None:
    with register.change(who) as change:
        stated = StatedInspection(
            uid=change.new_uid(), appliance=item.uid, on=TODAY, kind=InspectionKind.COMBINED,
            outcome=StatedOutcome.PASS if passes else StatedOutcome.FAIL, source="list.csv", line=1,
        )  # fmt: skip
        keep_stated(register, change, [stated])


def edit(register: Register, school: School, who: str, way: int, which: int) -> None:
    """One of many things that people do; what cannot be done is left."""
    item = register.find(Appliance)[which % len(register.find(Appliance))]
    place = register.find(Location)[which % len(register.find(Location))]
    ways = (
        lambda: change_record(register, who, replace(item, name=f"{who} {which}")),
        lambda: change_record(register, who, replace(item, notes=f"{who} {which}", make=f"make {which % 3}")),
        lambda: look(register, school, item, passes=True),
        lambda: look(register, school, item, passes=False),
        lambda: add_kettle(register, school.site, place, f"{who} {which}"),
        lambda: add_location(register, who, site=school.site.uid, name=f"Room {which % 4}"),
        lambda: change_record(register, who, replace(item, location=place.uid)),
        lambda: _remove(register, who, place),
        lambda: take_back_inspection(register, who, register.find(Inspection)[-1].uid),
        lambda: set_service_state(register, who, appliance=item.uid, state=ServiceState.MISSING, reason="not seen"),
        lambda: change_record(register, who, replace(place, name=f"Place {who} {which}")),
        lambda: tried(register, school, item, combined(earth="0.9"), who=who),
        lambda: tried(register, school, item, combined(), who=who, put_right="new lead"),
        lambda: set_service_state(register, who, appliance=item.uid, state=ServiceState.IN_SERVICE),
        lambda: set_service_state(register, who, appliance=item.uid, state=ServiceState.WITHDRAWN, reason=f"{which}"),
        lambda: _correct(register, who, passes=which % 2 == 0),
        lambda: _state(register, who, item, passes=which % 2 == 0),
    )
    try:
        ways[way % len(ways)]()
    except (InputRefused, IndexError):
        return


WAYS = 17


def _remove(register: Register, who: str, place: Location) -> None:
    with register.change(who) as change:
        change.remove(place)


def tables_of(desk: Desk) -> dict[str, list[tuple[Any, ...]]]:
    """All records."""
    with desk.open() as register:
        return {
            table: register.rows(f'SELECT {KINDS_BY_TABLE[table].columns} FROM "{table}" ORDER BY uid')  # noqa: S608 - our own names
            for table in JOURNALLED
        }


def lines_of_people(desk: Desk) -> Sequence[tuple[Any, ...]]:
    """What people wrote, whichever chains it stands in."""
    with desk.open() as register:
        return register.rows(
            "SELECT hash, origin, sequence, who FROM journal WHERE entity <> 'seen' AND reason <> 'merge' ORDER BY hash"
        )
