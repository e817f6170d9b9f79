"""Findings, judgements and inspections as JSON."""

from typing import Literal, TypedDict

from appreg.cli.shapes.plain_shapes import Day, Exact
from appreg.core.records.appliances import Fact
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import InspectionKind
from appreg.core.records.stated_outcomes import StatedOutcome
from appreg.core.values.outcomes import Outcome


class LimitShape(TypedDict):
    """A limit as it was applied."""

    low: Exact | None
    high: Exact | None
    comparison: Literal["<=", ">=", "between"]
    unit: str


class FindingShape(TypedDict):
    """What one check came to."""

    check: str
    reading: str
    """As typed, the worst of several; ok, bad, or empty where nothing was done."""
    readings: list[str]
    """All that stand side by side, of a check with figures."""
    unit: str
    limit: LimitShape | None
    """None: it has no figure, or none can be told."""
    finding: str
    """pass, fail, inconclusive or not-done."""
    arithmetic: str
    source: str
    basis: str
    method: str
    """How it was measured, in words."""
    left_out: str | None
    """Why it was left out."""
    assumed: list[Fact] | None
    """What it rests on that nobody has read; None of what was kept: the inspection tells it."""
    remark: str
    attempts: list[str]


class StatedShape(TypedDict):
    """What somebody else states of an inspection, without readings."""

    date: Day
    kind: InspectionKind
    stated: StatedOutcome
    words: str
    """The result in the words of the source."""
    next: Day | None
    """When the next one of that kind falls due by the source."""
    by: str
    source: str
    line: int
    remarks: str


class JudgementAnswer(TypedDict):
    """What `judge` writes."""

    format: Literal["appreg.judgement"]
    version: Literal[1]
    outcome: Outcome
    findings: list[FindingShape]
    missing: list[Check]
    advice: list[str]
    left_out: dict[str, str]
    """By check: why."""
    doubts: list[str]
    measured: list[Fact]
    unconfirmed: list[Fact]
    rule_book: str
    rule_book_version: str


class InspectionShape(TypedDict):
    """An inspection that was kept."""

    uid: str
    date: Day
    kind: InspectionKind
    outcome: Outcome
    missing: list[str]
    advice: list[str]
    remarks: str
    person: str
    instrument: str | None
    """Its serial number."""
    rule_book: str
    rule_book_version: str
    supersedes: str | None
    reason: str
    superseded: bool
    taken_back: bool
    assumed: list[str]
    """What nobody had read from the item on the day."""
    measured: list[str]
    findings: list[FindingShape]
