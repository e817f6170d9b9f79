"""What the register keeps, as plain values: each class is one kind of record, each field one column."""

from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import NewType, final

from msgspec import Struct

from appreg.core.records.appliances import (
    ApplianceClass,
    Connection,
    EquipmentType,
    Owner,
    RcdKind,
    RcdMounting,
    ServiceState,
)
from appreg.core.records.issued_documents import IssuedDocument
from appreg.core.records.job_records import FigureLookedUp, Firm, Job
from appreg.core.records.planning_records import (
    BookedVisit,
    CalendarEntry,
    Crew,
    DistrictTravel,
    KeptPlan,
    KeptVisit,
)
from appreg.core.records.print_jobs import PrintJob
from appreg.core.records.stated_outcomes import StatedOutcome
from appreg.core.records.work_records import (
    BenchDraft,
    InspectionWithdrawal,
    IntervalOverride,
    ItemMovement,
    NotInspected,
    RemedialAction,
)
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid

AssetTag = NewType("AssetTag", str)
"""What people read on the label, say KL-017; it may be changed, the key may not."""


class InspectionKind(StrEnum):
    """The two recorded kinds of inspection; user checks are not recorded."""

    VISUAL = "visual"
    COMBINED = "combined"


class LabelKind(StrEnum):
    """What a label says about the item it is stuck to."""

    PASS = "pass"
    DO_NOT_USE = "do not use"


@final
class Client(Struct, frozen=True, kw_only=True):
    """A duty holder: whoever owns the items and must keep them safe."""

    uid: Uid
    name: str
    address: str = ""
    agent_name: str = ""
    """A landlord's agent, where there is one."""
    agent_address: str = ""
    notes: str = ""


@final
class Site(Struct, frozen=True, kw_only=True):
    """A place that is visited, with the rules that hold there unless a location says otherwise."""

    uid: Uid
    client: Uid
    name: str
    address: str = ""
    prefix: str
    """Before the number in an automatic tag: KL gives KL-001."""
    rule_book: str = "gb"
    interval_table: str = ""
    """Empty: the rule book's default table."""
    environment: str
    """An environment id of the interval table."""
    landlord_profile: str = ""
    """Which statutory duty applies, by the rule book's id; empty: none."""
    guarded: bool = False
    """Pass only where the reading clears the limit by its uncertainty; otherwise simple acceptance."""
    notes: str = ""
    responsible: str = ""
    """Whoever sees to it there that items are inspected in time; empty: nobody is named."""
    responsible_contact: str = ""
    """How to reach that person."""
    district: str = ""
    """Sites of one district can be visited on one day."""
    access_days: str = ""
    """The days on which people are let in, as a rule of RFC 5545; empty: Monday to Friday."""
    access_from: date | None = None
    """The day from which a rule such as every second week counts; None: from wherever a plan starts."""
    closures: tuple[str, ...] = ()
    """Days on which nobody is let in, as lines of a list of closures: 2026-12-24..2027-01-02 works closed."""
    preferred: tuple[str, ...] = ()
    """Days on which a visit suits best, a school's holidays say, written likewise."""
    set_up_minutes: int = 0
    """Of a visit, before the first item and after the last."""
    travel_minutes: int = 0
    """From the base to the site, one way."""


@final
class Location(Struct, frozen=True, kw_only=True):
    """A room or area of a site."""

    uid: Uid
    site: Uid
    name: str
    environment: str = ""
    """Empty: the site's."""


@final
class Category(Struct, frozen=True, kw_only=True):
    """A kind of item with the defaults that fill the form when its name is typed."""

    uid: Uid
    code: str
    """Short code, unique, say KET."""
    name: str
    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    cord_csa_mm2: Decimal | None = None
    cord_length_m: Decimal | None = None
    fuse_a: Decimal | None = None
    power_w: int | None = None
    heating: bool = False
    microwave: bool = False
    unsuitable_500v: bool = False
    battery: bool = False
    visual_items: tuple[str, ...] = ()
    """Ids of the lines of the visual list; empty: those of the equipment type."""
    rated_volts: int | None = None
    """None: the usual supply."""
    phases: int | None = None
    connection: Connection | None = None
    """None: as the type and the battery say."""
    rcd: RcdKind | None = None
    rcd_rating_ma: Decimal | None = None
    rcd_mounting: RcdMounting | None = None
    """Set where such an item is itself a residual current device."""
    moulded_plug: bool = False
    mineral_insulated: bool = False
    synonyms: tuple[str, ...] = ()
    """Other names that people type for it."""
    scope: str = ""
    """Where a standard of its own governs such items: which, in words; empty: they belong here."""
    unearthed_metal: bool = False
    functional_earth: bool = False


@final
class Appliance(Struct, frozen=True, kw_only=True, gc=False):
    """An item in the register, with its latest result and next dates kept beside it."""

    uid: Uid
    site: Uid
    location: Uid
    category: Uid | None = None
    tag: AssetTag
    """Unique in the whole register."""
    name: str
    make: str = ""
    model: str = ""
    serial: str = ""
    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    cord_csa_mm2: Decimal | None = None
    cord_length_m: Decimal | None = None
    tinned: bool = False
    moulded_plug: bool = False
    fuse_a: Decimal | None = None
    power_w: int | None = None
    heating: bool = False
    microwave: bool = False
    rcd: RcdKind | None = None
    rcd_rating_ma: Decimal | None = None
    rcd_delay_ms: Decimal | None = None
    rcd_mounting: RcdMounting | None = None
    """Set where the item is itself a residual current device."""
    battery: bool = False
    rated_volts: int = 230
    phases: int = 1
    """1 or 3."""
    double_leakage: bool = False
    unsuitable_500v: bool = False
    flat_earth_limit_ohm: Decimal | None = None
    feeds: Uid | None = None
    """For a detachable cord set: the appliance it feeds."""
    longer_interval_reason: str = ""
    """Why the longer end of an interval range is used; empty: the shorter end."""
    state: ServiceState = ServiceState.IN_SERVICE
    notes: str = ""
    last_inspection: Uid | None = None
    last_date: date | None = None
    last_outcome: Outcome | None = None
    next_visual: date | None = None
    """None with last_date set: no formal visual inspection is asked for."""
    next_test: date | None = None
    """None with last_date set: no combined inspection and test is asked for."""
    connection: Connection | None = None
    """None: as the type and the battery say."""
    mineral_insulated: bool = False
    rated_current_a: Decimal | None = None
    owner: Owner | None = None
    """None: not stated."""
    assumed: tuple[str, ...] | None = None
    """The facts (core.provenance.Fact) that nobody has read from the item; None: those that equal its category's."""
    measured: tuple[str, ...] = ()
    """The facts that somebody has measured on the item."""
    unearthed_metal: bool = False
    """Class I with touchable metal that is not connected to the protective conductor."""
    functional_earth: bool = False
    """Class II with an earth conductor that serves its function alone."""
    owner_name: str = ""
    """Whose it is, by name, where it is not the client's; empty: nobody is named."""


@final
class Person(Struct, frozen=True, kw_only=True):
    """A competent person who inspects, tests and signs."""

    uid: Uid
    name: str
    initials: str
    address: str = ""
    qualifications: str = ""
    firm: str = ""
    """Whom the person works for, as labels and reports name it; empty: not recorded."""


@final
class Instrument(Struct, frozen=True, kw_only=True):
    """A test instrument, with the date its calibration falls due."""

    uid: Uid
    name: str
    serial: str
    calibration_due: date | None = None
    accuracy: str = ""
    """Accuracy by function and range as TOML; empty: not stated."""
    notes: str = ""


@final
class Visit(Struct, frozen=True, kw_only=True):
    """A day's work at one site by one person with one instrument."""

    uid: Uid
    site: Uid
    date: date
    person: Uid
    instrument: Uid | None = None
    fixed_wiring_reference: str = ""
    """Reference of the condition report on the fixed installation done alongside."""
    notes: str = ""
    instrument_check: str = ""
    """The instrument's check of the day: leads nulled, a known resistance read; empty: not recorded."""
    period_colour: str = ""
    """A colour of the period on a building site, in the user's word, for the pass labels of the visit; empty: none."""
    additional_protection: bool = False
    """The sockets were found behind residual current devices of 30 mA or less; False: not recorded."""
    job: Uid | None = None
    """The job that it is part of."""


class Inspection(Struct, frozen=True, kw_only=True, gc=False):
    """One finished inspection of one item; never changed, only superseded."""

    uid: Uid
    appliance: Uid
    visit: Uid
    date: date
    kind: InspectionKind
    person: Uid
    instrument: Uid | None = None
    rule_book: str
    rule_book_version: str
    outcome: Outcome
    missing: tuple[str, ...] = ()
    """Names of the required checks that were not done."""
    advice: tuple[str, ...] = ()
    """Doubts about readings, each with what became of it, and sentences of advice, as given on the day."""
    item_facts: str
    """The item as judged, canonical JSON: a later change of the appliance rewrites nothing."""
    remarks: str = ""
    supersedes: Uid | None = None
    reason: str = ""
    """Why this inspection replaces an earlier one."""


class FindingRecord(Struct, frozen=True, kw_only=True, gc=False):
    """One line of an inspection: a check, its reading, the limit as applied, and the finding."""

    uid: Uid
    inspection: Uid
    position: int
    check_name: str
    reading: str
    """As typed; the last attempt, and the worst of several side by side."""
    unit: str
    limit_low: Decimal | None = None
    limit_high: Decimal | None = None
    comparison: str = ""
    finding: str
    """pass, fail, inconclusive or not-done."""
    arithmetic: str
    source: str
    basis: str
    uncertainty: Decimal | None = None
    """Expanded uncertainty of the reading, k = 2, in its unit; None: the instrument states none."""
    zone: str = ""
    """Where the reading stands to its limit, uncertainty considered: a core.uncertainty.Zone or empty."""
    remark: str = ""
    attempts: tuple[str, ...] = ()
    """Every attempt as 'HH:MM:SS reading', oldest first."""
    method: str = ""
    """How it was measured, with all readings side by side, as core.methods writes it; empty: nothing was said."""


class StatedInspection(Struct, frozen=True, kw_only=True):
    """What somebody else states of an inspection, without its readings: never an Inspection, and never a pass."""

    uid: Uid
    appliance: Uid
    on: date
    kind: InspectionKind
    outcome: StatedOutcome
    words: str = ""
    """The result in the words of the source; empty: it said none."""
    next_on: date | None = None
    """When the next one of that kind falls due by the source; None: it says nothing."""
    stated_by: str = ""
    """Who states it, as the source has it; empty: nobody is named."""
    source: str
    """The name of the file that it came in."""
    line: int
    """Of that file, 1 for the first."""
    remarks: str = ""


class QueuedLabel(Struct, frozen=True, kw_only=True):
    """A label waiting in the tray, or already printed."""

    uid: Uid
    appliance: Uid
    inspection: Uid
    kind: LabelKind
    printed_on: date | None = None


Record = (
    Client
    | Site
    | Location
    | Category
    | Appliance
    | Person
    | Instrument
    | Visit
    | Inspection
    | FindingRecord
    | QueuedLabel
    | InspectionWithdrawal
    | BenchDraft
    | RemedialAction
    | IntervalOverride
    | ItemMovement
    | NotInspected
    | Crew
    | DistrictTravel
    | KeptPlan
    | KeptVisit
    | BookedVisit
    | CalendarEntry
    | IssuedDocument
    | Job
    | Firm
    | FigureLookedUp
    | PrintJob
    | StatedInspection
)
