"""What came of a scope of work as JSON; the scope itself is a form of exchange, for it is read back."""

from typing import Literal, TypedDict

from appreg.cli.shapes.item_shapes import ItemName
from appreg.cli.shapes.plain_shapes import Day
from appreg.core.records.kept_records import InspectionKind
from appreg.schedule.scope_of_work import ScopeResult


class ScopeResultCounts(TypedDict):
    """Items by what became of them."""

    done: int
    failed: int
    not_done: int
    extra: int


class ComparedItemShape(ItemName):
    """An item with what came of it."""

    site: str
    result: ScopeResult
    work: InspectionKind | None
    """None: it was not in the scope."""
    on: Day | None
    """The day of the inspection that decides."""
    said: str
    failed: bool
    """It failed, whether it was wanted or not."""


class ComparedScopeAnswer(TypedDict):
    """What `scope --compare` writes."""

    format: Literal["appreg.scope-comparison"]
    version: Literal[1]
    made_on: Day
    compared_on: Day
    items_wanted: int
    counts: ScopeResultCounts
    items: list[ComparedItemShape]
