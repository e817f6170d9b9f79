"""Items as JSON: the same keys wherever one is named, listed or shown."""

from typing import Literal, TypedDict

from appreg.cli.shapes.inspection_shapes import InspectionShape
from appreg.cli.shapes.interval_shapes import IntervalAnswerShape
from appreg.cli.shapes.plain_shapes import Day, Duration, Exact
from appreg.core.records.appliances import (
    ApplianceClass,
    Connection,
    EquipmentType,
    Fact,
    Owner,
    RcdKind,
    RcdMounting,
    ServiceState,
)
from appreg.core.records.kept_records import LabelKind
from appreg.core.records.work_records import IntervalKind, Movement, OverrideScope
from appreg.core.values.outcomes import Outcome
from appreg.schedule.due_states import DueState


class ItemName(TypedDict):
    """How an item is named."""

    uid: str
    """Its key, which never changes."""
    tag: str
    item: str
    """What it is called."""


class PlacedItem(ItemName):
    """An item with the names of where it stands."""

    site: str
    location: str


_Kind = TypedDict("_Kind", {"class": ApplianceClass, "type": EquipmentType})


class ItemShape(PlacedItem, _Kind):
    """An item as lists have it."""

    category: str | None
    make: str
    model: str
    serial: str
    state: ServiceState
    last_date: Day | None
    last_outcome: Outcome | None
    """None: never inspected."""
    next_visual: Day | None
    next_test: Day | None


class ItemsAnswer(TypedDict):
    """What `find` and `list items` write."""

    format: Literal["appreg.items"]
    version: Literal[1]
    items: list[ItemShape]
    damaged: list[str]
    """What could not be read, a sentence each."""


class BlockShape(TypedDict):
    """An inspection that must come before an item is issued or used."""

    what: IntervalKind
    event: str
    because: str


class OverrideShape(TypedDict):
    """An interval set by hand."""

    interval: IntervalKind
    period: Duration
    set_for: OverrideScope
    by: str
    on: Day
    reason: str
    signed_by_duty_holder: bool


class ItemPageAnswer(ItemShape):
    """What `show` writes: the item whole."""

    format: Literal["appreg.item"]
    version: Literal[1]
    client: str
    cord_csa_mm2: Exact | None
    cord_length_m: Exact | None
    tinned: bool
    moulded_plug: bool
    fuse_a: Exact | None
    power_w: int | None
    heating: bool
    microwave: bool
    rcd: RcdKind | None
    rcd_rating_ma: Exact | None
    rcd_delay_ms: Exact | None
    rcd_mounting: RcdMounting | None
    battery: bool
    rated_volts: int
    phases: int
    double_leakage: bool
    unsuitable_500v: bool
    flat_earth_limit_ohm: Exact | None
    feeds: str | None
    longer_interval_reason: str
    notes: str
    last_inspection: str | None
    connection: Connection | None
    mineral_insulated: bool
    rated_current_a: Exact | None
    owner: Owner | None
    assumed: list[Fact]
    """What its category gave and nobody has read from it."""
    measured: list[str]
    unearthed_metal: bool
    functional_earth: bool
    environment: str
    visual_state: DueState
    test_state: DueState
    interval: IntervalAnswerShape
    overrides: list[OverrideShape]
    blocked: list[BlockShape]
    damaged: list[str]
    latest: InspectionShape | None
    history: list[InspectionShape]


class InspectionAnswer(ItemName):
    """What `inspect` writes: what was kept, and what follows for the item."""

    format: Literal["appreg.inspection"]
    version: Literal[1]
    state: ServiceState
    next_visual: Day | None
    next_test: Day | None
    label: LabelKind | None
    """The label that waits to be printed."""
    caution: str
    """Why this pass puts the failure that stands not right; empty otherwise."""
    inspection: InspectionShape


class MovementAnswer(ItemName):
    """What `move` writes."""

    format: Literal["appreg.movement"]
    version: Literal[1]
    movement: Movement
    on: Day
    note: str
    blocked: list[BlockShape]
