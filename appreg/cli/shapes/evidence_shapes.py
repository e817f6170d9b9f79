"""What past inspections say, as JSON."""

from typing import Literal, TypedDict

from appreg.cli.shapes.plain_shapes import Duration, Exact
from appreg.core.records.work_records import IntervalKind
from appreg.schedule.evidence import Advice


class LeftOutShape(TypedDict):
    """Inspections that tell nothing about the interval."""

    first: int
    retests: int
    earlier: int
    """Begun before the interval was set."""
    too_soon: int
    long_after: int


class RuleShape(TypedDict):
    """What a published rule about failure rates says."""

    may_lengthen: bool
    rate_percent: Exact
    below_percent: Exact
    longest: Duration | None
    source: str


class YearShape(TypedDict):
    """The inspections of one year."""

    year: int
    inspections: int
    failures: int


class EvidenceGroupShape(TypedDict):
    """Like items in one environment."""

    group: str
    environment: str
    table: str
    interval: IntervalKind
    now: Duration
    items: int
    inspections: int
    failures: int
    whole_intervals: int
    """What the failures are held against: time is weighed, no inspection as more than one interval."""
    left_out: LeftOutShape
    visual_failures: int
    electrical_failures: int
    by_check: dict[str, int]
    failure_rate: float | None
    rate_low: float | None
    rate_high: float | None
    target: Exact
    confidence: Exact
    answer: Advice
    suggestion: Duration | None
    held_because: str
    further_clean_inspections: int | None
    error_rate_rule: RuleShape | None
    years: list[YearShape]


class EvidenceAnswer(TypedDict):
    """What `evidence` writes."""

    format: Literal["appreg.evidence"]
    version: Literal[1]
    groups: list[EvidenceGroupShape]
    damaged: list[str]
    """What could not be read, a sentence each."""
