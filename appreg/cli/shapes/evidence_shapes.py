"""What past inspections say, as JSON."""

from typing import Literal, TypedDict

from appreg.cli.shapes.plain_shapes import Day, Duration, Exact
from appreg.core.records.work_records import IntervalKind
from appreg.schedule.evidence import Advice


class LeftOutShape(TypedDict):
    """Inspections that tell nothing about the interval."""

    first: int
    retests: int
    earlier: int
    """Begun before the interval was set."""
    too_soon: int
    too_soon_failed: int
    """Those of them that failed: held against a longer interval."""
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


class WindowShape(TypedDict):
    """How long after the last pass an inspection tells of the interval, in intervals."""

    least: Exact
    most: Exact


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
    must_sign_because: str
    """Why a duty holder has to sign for what is suggested; empty: nobody has to."""
    set_by_hand_since: Day | None
    """The last day on which the interval was set for one of them; None: it is the table's."""
    window: WindowShape
    further_clean_inspections: int | None
    error_rate_rule: RuleShape | None
    years: list[YearShape]


class EvidenceAnswer(TypedDict):
    """What `evidence` writes."""

    format: Literal["appreg.evidence"]
    version: Literal[1]
    groups: list[EvidenceGroupShape]
    method: str
    damaged: list[str]
    """What could not be read, a sentence each."""


class IntervalDecisionAnswer(TypedDict):
    """What `evidence` writes where a suggestion is accepted, or an interval taken back."""

    format: Literal["appreg.interval-decision"]
    version: Literal[1]
    done: Literal["accepted", "taken back"]
    group: str
    environment: str
    interval: IntervalKind
    items: int
    was: Duration
    now: list[Duration]
    """What the items are inspected at from now on."""
    reason: str
    signed_by: str
    signed_on: Day | None
