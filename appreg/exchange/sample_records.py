"""A site as a folder of readable files describes it: names in place of keys, readings in place of verdicts."""

from datetime import date
from decimal import Decimal

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdKind, RcdMounting, ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import InspectionKind


class SampleClient(Struct, frozen=True, kw_only=True):
    """The duty holder."""

    name: str
    address: str
    agent_name: str
    agent_address: str


class SamplePlace(Struct, frozen=True, kw_only=True):
    """The site and the rules that hold there."""

    name: str
    prefix: str
    address: str
    rule_book: str
    interval_table: str
    environment: str
    landlord_profile: str


class SampleLocation(Struct, frozen=True, kw_only=True):
    """A room or area."""

    name: str
    environment: str


class SamplePerson(Struct, frozen=True, kw_only=True):
    """Who inspects; named by initials in the other files."""

    name: str
    initials: str
    address: str
    qualifications: str
    firm: str = ""


class SampleInstrument(Struct, frozen=True, kw_only=True):
    """A test instrument; named by its serial in the other files."""

    name: str
    serial: str
    calibration_due: date | None
    accuracy: str
    """As its handbook states it, by check and range; empty: not stated."""


class SampleVisit(Struct, frozen=True, kw_only=True):
    """One day's work."""

    on: date
    person: str
    """Initials."""
    instrument: str
    """Serial; empty: none."""
    fixed_wiring_reference: str
    labels: str
    """`waiting` where its labels are still to be printed; empty: they count as printed on the day."""


class SampleItem(Struct, frozen=True, kw_only=True):
    """One appliance; None or empty: the category's default."""

    line: int
    tag: str
    category: str
    """Code; empty: none."""
    name: str
    location: str
    make: str
    model: str
    serial: str
    appliance_class: ApplianceClass | None
    equipment_type: EquipmentType | None
    cord_csa_mm2: Decimal | None
    cord_length_m: Decimal | None
    moulded_plug: bool
    fuse_a: Decimal | None
    power_w: int | None
    rated_volts: int | None
    rcd: RcdKind | None
    rcd_rating_ma: Decimal | None
    rcd_mounting: RcdMounting | None
    feeds: str
    """Tag of the item that a cord set feeds."""
    longer_interval_reason: str
    state: ServiceState | None
    """None: as its inspections leave it."""
    notes: str


class SampleInspection(Struct, frozen=True, kw_only=True):
    """What was seen and measured on one item on one day; the verdict is computed."""

    line: int
    on: date
    tag: str
    kind: InspectionKind
    entries: Entries
    remarks: str


class SampleRepair(Struct, frozen=True, kw_only=True):
    """What was done about a failed item."""

    line: int
    tag: str
    on: date
    told: str
    repair: str


class SampleSite(Struct, frozen=True, kw_only=True):
    """One whole folder."""

    folder: str
    client: SampleClient
    place: SamplePlace
    locations: tuple[SampleLocation, ...]
    people: tuple[SamplePerson, ...]
    instruments: tuple[SampleInstrument, ...]
    visits: tuple[SampleVisit, ...]
    items: tuple[SampleItem, ...]
    inspections: tuple[SampleInspection, ...]
    repairs: tuple[SampleRepair, ...]
