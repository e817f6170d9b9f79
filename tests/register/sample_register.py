"""An invented register with every kind of record in it, every field filled."""

from datetime import date
from decimal import Decimal
from itertools import count
from typing import Any

from msgspec.structs import replace

from appreg.clock import Clock, Instant
from appreg.core.records.appliances import (
    ApplianceClass,
    Connection,
    EquipmentType,
    Owner,
    RcdKind,
    RcdMounting,
    ServiceState,
)
from appreg.core.records.issued_documents import DocumentKind, IssuedDocument
from appreg.core.records.job_records import FigureLookedUp, Firm, Job
from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Category,
    Client,
    FindingRecord,
    Inspection,
    InspectionKind,
    Instrument,
    LabelKind,
    Location,
    Person,
    QueuedLabel,
    Record,
    Site,
    StatedInspection,
    Visit,
)
from appreg.core.records.planning_records import (
    BookedVisit,
    CalendarEntry,
    CalendarKind,
    Crew,
    DistrictTravel,
    KeptPlan,
    KeptVisit,
)
from appreg.core.records.print_jobs import PrintedKind, PrintJob
from appreg.core.records.stated_outcomes import StatedOutcome
from appreg.core.records.work_records import (
    BenchDraft,
    InspectionWithdrawal,
    IntervalKind,
    IntervalOverride,
    ItemMovement,
    Movement,
    NotInspected,
    NotInspectedBecause,
    OverrideScope,
    RemedialAction,
)
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid, uid_from
from appreg.register.engine.places import Place
from appreg.register.journal.journal_chain import COLUMNS
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import KINDS

START = 1_795_000_000_000
"""24 November 2026 or so, in milliseconds."""


def uid(number: int) -> Uid:
    """A key that is easy to tell from others."""
    return uid_from(START, number)


def ticking_clock(step: int = 1000, start: int = START) -> Clock:
    """A clock that goes on by a step each time it is read."""
    ticks = count(start, step)
    return lambda: Instant(next(ticks))


CLIENT = Client(
    uid=uid(1), name="Harbour Row Lettings [red]", address="1 Quay", agent_name="Ann", agent_address="2 Quay", notes="n"
)
SITE = Site(
    uid=uid(2), client=CLIENT.uid, name="Kiln Lane Ω", address="3 Kiln Lane", prefix="KL", rule_book="gb",
    interval_table="hsg107-2013", environment="public", landlord_profile="england", guarded=True, notes="=1+1",
    responsible="Ann Ω", responsible_contact="the lodge", district="North", access_days="FREQ=WEEKLY;INTERVAL=2;BYDAY=TU",
    access_from=date(2026, 11, 24), closures=("2026-12-24..2027-01-02 works closed",), preferred=("2027-04-01",),
    set_up_minutes=30, travel_minutes=25,
)  # fmt: skip
LOCATION = Location(uid=uid(3), site=SITE.uid, name="Glaze room", environment="industrial")
CATEGORY = Category(
    uid=uid(4), code="KET", name="Kettle", appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.PORTABLE, cord_csa_mm2=Decimal("0.75"), cord_length_m=Decimal("0.8"),
    fuse_a=Decimal(13), power_w=2200, heating=True, microwave=True, unsuitable_500v=True, battery=True,
    visual_items=("plug", "cord"), rated_volts=110, phases=3, connection=Connection.HARD_WIRED, rcd=RcdKind.S,
    rcd_rating_ma=Decimal("30.0"), rcd_mounting=RcdMounting.FIXED, moulded_plug=True, mineral_insulated=True,
    synonyms=("boiler",), scope="IEC 60601",
)  # fmt: skip
PERSON = Person(uid=uid(5), name="Sam Field", initials="SF", address="4 Mill", qualifications="competent")
INSTRUMENT = Instrument(
    uid=uid(6), name="Bench tester", serial="X1", calibration_due=date(2027, 3, 1), accuracy='[earth]\n"a" = 1',
    notes="n",
)  # fmt: skip
JOB = Job(
    uid=uid(29), site=SITE.uid, name="Order 7 [red]", extent="the glaze room", limitations="the loft was locked",
    wiring_report="EICR 7", wiring_on=date(2024, 3, 12), wiring_next=date(2029, 3, 12), wiring_rcd="30 mA, all sockets",
    signatory="Nia Holder", notes="n",
)  # fmt: skip
VISIT = Visit(
    uid=uid(7), site=SITE.uid, date=date(2026, 11, 24), person=PERSON.uid, instrument=INSTRUMENT.uid,
    fixed_wiring_reference="EICR 7", notes="n", job=JOB.uid,
)  # fmt: skip
_BARE_LEAD = Appliance(
    uid=uid(9), site=SITE.uid, location=LOCATION.uid, category=CATEGORY.uid, tag=AssetTag("KL-002"),
    name="Cord set", make="Ownmake", model="M", serial="S2", appliance_class=ApplianceClass.UNKNOWN,
    equipment_type=EquipmentType.CORD_SET, cord_csa_mm2=Decimal("1.50"), cord_length_m=Decimal(2), tinned=True,
    moulded_plug=True, fuse_a=Decimal(3), power_w=10, heating=True, microwave=True, rcd=RcdKind.BS4293,
    rcd_rating_ma=Decimal(30), rcd_delay_ms=Decimal("0.0"), rcd_mounting=RcdMounting.PORTABLE, battery=True,
    rated_volts=110, phases=3, double_leakage=True, unsuitable_500v=True, flat_earth_limit_ohm=Decimal("0.10"),
    longer_interval_reason="good record", state=ServiceState.WITHDRAWN, notes="n", connection=Connection.INDUSTRIAL,
    mineral_insulated=True, rated_current_a=Decimal("32.0"), owner=Owner.TENANT, owner_name="Bo", assumed=("class", "cord-length"),
)  # fmt: skip
KETTLE = Appliance(
    uid=uid(8), site=SITE.uid, location=LOCATION.uid, category=CATEGORY.uid, tag=AssetTag("KL-001"),
    name="Kettle", make="Ownmake", model="K2", serial="S1", appliance_class=ApplianceClass.CLASS_I,
    equipment_type=EquipmentType.PORTABLE,
)  # fmt: skip
INSPECTION = Inspection(
    uid=uid(10), appliance=_BARE_LEAD.uid, visit=VISIT.uid, date=date(2026, 11, 24), kind=InspectionKind.COMBINED,
    person=PERSON.uid, instrument=INSTRUMENT.uid, rule_book="gb", rule_book_version="gb 1", outcome=Outcome.FAIL,
    missing=("polarity",), advice=("Fit a 3 A fuse.",), item_facts='{"class":"1"}', remarks="cracked", reason="",
)  # fmt: skip
CORRECTION = replace(INSPECTION, uid=uid(11), supersedes=INSPECTION.uid, reason="reading copied wrongly")
FINDING = FindingRecord(
    uid=uid(12), inspection=INSPECTION.uid, position=1, check_name="earth-continuity", reading=">0.5", unit="Ω",
    limit_low=Decimal(0), limit_high=Decimal("0.139"), comparison="<=", finding="fail",
    arithmetic="0.1 + 19.5 mΩ/m × 2.0 m = 0.139 Ω", source="Code of Practice", basis="published", uncertainty=Decimal("0.012"), zone="fail", remark="twice",
    attempts=("10:00:01 0.6", "10:00:09 >0.5"),
)  # fmt: skip
SECOND_FINDING = replace(FINDING, uid=uid(13), position=2, check_name="insulation", reading="", finding="not-done")
LEAD = replace(
    _BARE_LEAD, feeds=KETTLE.uid, last_inspection=CORRECTION.uid, last_date=date(2026, 11, 24),
    last_outcome=Outcome.FAIL, next_visual=date(2027, 5, 24), next_test=date(2027, 11, 24),
)  # fmt: skip
LABEL = QueuedLabel(
    uid=uid(14), appliance=LEAD.uid, inspection=CORRECTION.uid, kind=LabelKind.DO_NOT_USE, printed_on=date(2026, 11, 25)
)
WITHDRAWAL = InspectionWithdrawal(uid=uid(15), inspection=CORRECTION.uid, reason="wrong item")
DRAFT = BenchDraft(uid=uid(16), appliance=KETTLE.uid, visit=VISIT.uid, saved_at="2026-11-24 10:00:00", body='{"a":1}')
ACTION = RemedialAction(
    uid=uid(17), appliance=LEAD.uid, inspection=INSPECTION.uid, what="New plug", told="Ann", opened_on=date(2026, 11, 24),
    repair="Plug replaced", repaired_on=date(2026, 11, 25), closed_by=CORRECTION.uid,
)  # fmt: skip
OVERRIDE = IntervalOverride(
    uid=uid(18), scope=OverrideScope.CATEGORY, target=CATEGORY.uid, what=IntervalKind.TEST, period="P6M",
    reason="rough use", author="Sam Field", on=date(2026, 11, 24), signed_by_duty_holder=True,
    signed_by="Nia Holder", signed_on=date(2026, 11, 23),
)  # fmt: skip
MOVEMENT = ItemMovement(
    uid=uid(19), appliance=KETTLE.uid, movement=Movement.ISSUED, on=date(2026, 11, 24), note="to the Quay"
)
NOT_SEEN = NotInspected(
    uid=uid(20), appliance=KETTLE.uid, visit=VISIT.uid, date=date(2026, 11, 24), person=PERSON.uid,
    because=NotInspectedBecause.REFUSED, note="asleep",
)  # fmt: skip
CREW = Crew(
    uid=uid(21), name="North crew", people=2, minutes_a_day=400, days="FREQ=WEEKLY;BYDAY=MO", days_from=date(2026, 11, 23),
    absent=("2026-12-25 holiday",), base="the yard", notes="n",
)  # fmt: skip
WAY = DistrictTravel(uid=uid(22), district="North", other="South", minutes=35)
PLAN = KeptPlan(
    uid=uid(23), name="Next year", whose="Sam", made_on=date(2026, 11, 24), terms='{"years":3}', step=2, said="moved"
)
PLAN_VISIT = KeptVisit(
    uid=uid(24), plan=PLAN.uid, site=SITE.uid, day=date(2027, 3, 2), crew=CREW.uid, items=(KETTLE.uid,)
)
BOOKED = BookedVisit(
    uid=uid(25), site=SITE.uid, day=date(2027, 3, 2), crew=CREW.uid, person=PERSON.uid, confirmed=True,
    items=(KETTLE.uid,), note="key at the lodge", event="visit-1@appreg.invalid",
)  # fmt: skip
ENTRY = CalendarEntry(
    uid=uid(26), event="visit-1@appreg.invalid", kind=CalendarKind.VISIT, site=SITE.uid, day=date(2027, 3, 2), sequence=1,
    content="0a1b", cancelled=True,
)  # fmt: skip
ISSUED = IssuedDocument(
    uid=uid(27), number=3, issue=2, kind=DocumentKind.REPORT, site=SITE.uid, visit=VISIT.uid, on=date(2026, 11, 25),
    scope="visit of 24 Nov 2026", position=40, head="0a" * 32, file_hash="1b" * 32, author="Sam",
    job=JOB.uid,
)  # fmt: skip
PRINTED = PrintJob(
    uid=uid(28), number=1, kind=PrintedKind.LABELS, what="1 label of Kiln Lane", site=SITE.uid, document=ISSUED.uid,
    file_hash="2c" * 32, sheets=1, printer="Workshop", job="Workshop-7", copies=2, pages="1", media="A4",
    on=date(2026, 11, 25), at="09:05", author="Sam", labels=(LABEL.uid,), places=("1:3",),
)  # fmt: skip
FIRM = Firm(uid=uid(30), name="Field & Co", address="4 Mill", phone="01632 960 001", email="field@appreg.invalid")
LOOKED_UP = FigureLookedUp(
    uid=uid(31), rule_book="gb", key="insulation.class-2.least", value="2 MΩ", document="Code of Practice", edition="5th",
    on=date(2026, 11, 24), author="Sam",
)  # fmt: skip
STATED = StatedInspection(
    uid=uid(32), appliance=KETTLE.uid, on=date(2024, 5, 3), kind=InspectionKind.COMBINED, outcome=StatedOutcome.FAIL,
    words="F", next_on=date(2025, 5, 3), stated_by="Another", source="list.csv", line=7, remarks="=1+1",
)  # fmt: skip

BEFORE_INSPECTION: tuple[Record, ...] = (
    CLIENT, SITE, LOCATION, CATEGORY, PERSON, INSTRUMENT, JOB, VISIT, KETTLE, _BARE_LEAD,
)  # fmt: skip
SAVED: tuple[Record, ...] = (INSPECTION, CORRECTION, FINDING, SECOND_FINDING, LEAD)
WORK: tuple[Record, ...] = (LABEL, WITHDRAWAL, DRAFT, ACTION, OVERRIDE, MOVEMENT, NOT_SEEN)
PLANNING: tuple[Record, ...] = (CREW, WAY, PLAN, PLAN_VISIT, BOOKED, ENTRY, FIRM, LOOKED_UP, ISSUED, PRINTED, STATED)
EVERYTHING: tuple[Record, ...] = (
    CLIENT, SITE, LOCATION, CATEGORY, PERSON, INSTRUMENT, JOB, VISIT, KETTLE, *SAVED, *WORK, *PLANNING,
)  # fmt: skip
"""Each record as it finally stands."""


def build_register(path: Place) -> Register:
    """Write every record in four changes by two people and leave the register open."""
    register = open_register(path, clock=ticking_clock())
    for who, reason, records in (
        ("Sam", "walk-round", BEFORE_INSPECTION),
        ("Ann", "inspection", SAVED),
        ("Sam", "afterwards", (*WORK, *PLANNING)),
    ):
        with register.change(who, reason) as change:
            for record in records:
                change.put(record)
    return register


def all_of(register: Register) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table that records and journal are kept in."""
    tables = {kind.table: (kind.columns, "uid") for kind in KINDS.values()}
    tables |= {"journal": (", ".join(f'"{name}"' for name in COLUMNS), "origin, sequence")}
    tables |= {"register_meta": ("key, value", "key"), "migration": ("number, name, applied", "number")}
    return {
        table: register.rows(f'SELECT {columns} FROM "{table}" ORDER BY {order}')
        for table, (columns, order) in tables.items()
    }


def small_estate(register: Register, *, sites: int = 1) -> list[Site]:
    """Put in a duty holder and some sites, each with one location of the same number."""
    with register.change("Sam") as change:
        client = Client(uid=change.new_uid(), name="Owner")
        change.put(client)
        made = [
            Site(
                uid=change.new_uid(),
                client=client.uid,
                name=f"Site {number}",
                prefix=f"S{number}",
                environment="public",
            )
            for number in range(sites)
        ]
        for site in made:
            change.put(site)
            change.put(Location(uid=change.new_uid(), site=site.uid, name=f"Room of {site.name}"))
    return made


def item(register: Register, site: Site, tag: str, **fields: object) -> Appliance:
    """An appliance at a site, not yet put in."""
    (location,) = register.find(Location, site=site.uid)
    plain = Appliance(
        uid=register.new_uid(), site=site.uid, location=location.uid, tag=AssetTag(tag), name="Kettle",
        appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE,
    )  # fmt: skip
    return replace(plain, **fields)
