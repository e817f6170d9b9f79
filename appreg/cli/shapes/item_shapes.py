"""Items as JSON: the same keys wherever one is named, listed or shown."""

from typing import Any, Literal, TypedDict, get_type_hints

from appreg.cli.json_values import CALLED_OTHERWISE
from appreg.cli.shapes.inspection_shapes import InspectionShape, StatedShape
from appreg.cli.shapes.interval_shapes import IntervalAnswerShape
from appreg.cli.shapes.plain_shapes import Day, Duration, as_json
from appreg.core.records.appliances import (
    ApplianceClass,
    EquipmentType,
    Fact,
    ServiceState,
)
from appreg.core.records.kept_records import Appliance, LabelKind
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
    """None: none is needed, the item was never inspected, or it is not in service."""
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
    """For longer than a statute has it."""
    signed_by: str
    signed_on: Day | None


class ItemPageAnswer(ItemShape):
    """What `show` writes: the item whole."""

    format: Literal["appreg.item"]
    version: Literal[1]
    client: str
    assumed: list[Fact]
    """What its category gave and nobody has read from it."""
    environment: str
    visual_state: DueState
    test_state: DueState
    interval: IntervalAnswerShape
    overrides: list[OverrideShape]
    blocked: list[BlockShape]
    from_elsewhere: list[str]
    """What a merge or a hand-over left to be told: a failure that stands, what is contested, that it left the site."""
    damaged: list[str]
    latest: InspectionShape | None
    history: list[InspectionShape]
    stated: list[StatedShape]
    """What somebody else states of it, without readings: no inspection, and never a pass."""


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


def own_fields() -> dict[str, Any]:
    """By name: what JSON holds for each field of an item's record that no shape names."""
    told = {*get_type_hints(ItemPageAnswer), *CALLED_OTHERWISE}
    return {name: as_json(hint) for name, hint in get_type_hints(Appliance).items() if name not in told}


class FaultAnswer(ItemName):
    """What `fault` writes: the item as it stands now."""

    format: Literal["appreg.fault"]
    version: Literal[1]
    state: ServiceState
    notes: str
    """With the fault, who found it and when."""


class UserCheckedItem(PlacedItem):
    """An item that its users check."""

    every: str
    """How often or on which event."""
    because: str
    """The row of the interval table."""


class UserChecksAnswer(TypedDict):
    """What `list checks` writes."""

    format: Literal["appreg.user-checks"]
    version: Literal[1]
    checks: list[UserCheckedItem]
    damaged: list[str]
    """What could not be read, a sentence each."""


class MovementAnswer(ItemName):
    """What `move` writes."""

    format: Literal["appreg.movement"]
    version: Literal[1]
    movement: Movement
    on: Day
    note: str
    last_tested: Day | None
    """None: no inspection and test has passed."""
    days_since_test: int | None
    """From that test to the movement."""
    issue_limit_days: int
    """How old the last test may be at issue without asking; 0: any age."""
    blocked: list[BlockShape]
