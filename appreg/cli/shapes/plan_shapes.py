"""Plans of visits as JSON."""

from typing import Literal, TypedDict

from appreg.cli.shapes.due_shapes import CountsShape
from appreg.cli.shapes.item_shapes import ItemName
from appreg.cli.shapes.plain_shapes import Day
from appreg.schedule.plan_items import LineKind


class CostShape(TypedDict):
    """What a way of going costs."""

    visits: int
    minutes: int
    inspections: int
    early: int
    late_items: int


class ComparisonShape(TypedDict):
    """A plan held against two other ways of going."""

    plan: CostShape
    whenever_due: CostShape
    everything_yearly: CostShape


class WantedInspection(ItemName):
    """An inspection that is due on an item."""

    what: LineKind
    due: Day | None


class PlannedShape(WantedInspection):
    """An inspection on a day of the plan."""

    early_days: int
    before_tolerance_days: int
    late_days: int
    minutes: int


class PlannedDay(TypedDict):
    """One day of a plan."""

    date: Day
    minutes: int
    inspections: list[PlannedShape]


_Span = TypedDict("_Span", {"from": Day, "to": Day})


class TripShape(_Span):
    """The days of one trip."""

    sites: list[str]
    tolerance_percent: int
    capacity_minutes: int | None
    items: int
    bound: int
    gap_percent: int
    visits: list[PlannedDay]
    left_overdue: list[WantedInspection]
    over_capacity: list[Day]
    comparison: ComparisonShape


class DayOutShape(TypedDict):
    """A day on which a crew leaves the base."""

    date: Day
    crew: str | None
    people: int
    minutes: int
    travel_minutes: int
    capacity_minutes: int | None
    sites: list[str]
    booked: bool


class GoingShape(TypedDict):
    """What a way of going costs, ways and setting up among the minutes."""

    days_out: int
    visits: int
    minutes: int


class GoingsShape(TypedDict):
    """The plan, and going whenever something is due."""

    plan: GoingShape
    whenever_due: GoingShape


class PlanAnswer(TypedDict):
    """What `plan` writes."""

    format: Literal["appreg.plan"]
    version: Literal[1]
    trips: list[TripShape]
    visits: int
    bound: int
    gap_percent: int
    comparison: ComparisonShape
    days_out: list[DayOutShape] | None
    going: GoingsShape | None


class SideShape(TypedDict):
    """One side of a what-if."""

    plan: CostShape
    bound: int
    counts: CountsShape


class WhatIfAnswer(TypedDict):
    """What `plan` with an --if option writes."""

    format: Literal["appreg.what-if"]
    version: Literal[1]
    before: SideShape
    after: SideShape
    left_alone: list[str]
