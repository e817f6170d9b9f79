"""What is due, as JSON."""

from typing import Literal, NotRequired, TypedDict

from appreg.cli.shapes.item_shapes import BlockShape, PlacedItem
from appreg.cli.shapes.plain_shapes import Day
from appreg.schedule.due_states import DueState


class ItemCounts(TypedDict):
    """How many items stand in each state, each counted once in a column."""

    overdue: int
    due_soon: int
    never_inspected: int
    withdrawn: int


class InspectionCounts(TypedDict):
    """How many inspections are due: an item may wait for a visual inspection and for a test."""

    overdue: int
    due_soon: int


class CountsShape(TypedDict):
    """Counts, each with what it counts."""

    items: ItemCounts
    inspections: InspectionCounts


class DueLineShape(PlacedItem):
    """One inspection, or one repair, that is due."""

    what: Literal["visual", "test", "repair"]
    due: Day | None
    state: DueState
    days: int | None
    """From the day asked about to the due date; below zero where it is past."""
    because: str


class BlockedItem(PlacedItem, BlockShape):
    """An item that an inspection must come before."""


class UserCheckShape(TypedDict):
    """Checks that users make."""

    site: str
    location: str
    every: str
    items: int
    because: str


class DueGroupShape(TypedDict):
    """The lines that belong together."""

    group: str
    counts: CountsShape
    months: list[int]
    """Inspections falling due in each of twelve months, the present one first."""
    lines: list[DueLineShape]


class DueAnswer(TypedDict):
    """What `due` writes."""

    format: Literal["appreg.due"]
    version: Literal[1]
    on: Day
    within: int
    counts: CountsShape
    lines: list[DueLineShape]
    repairs: list[DueLineShape]
    blocked: list[BlockedItem]
    user_checks: list[UserCheckShape]
    groups: NotRequired[list[DueGroupShape]]
    """Where grouping was asked for."""
    damaged: list[str]
    """What could not be read, a sentence each."""
