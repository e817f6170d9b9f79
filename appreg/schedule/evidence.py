"""What past inspections say about an interval: keep it, lengthen it, shorten it, or wait for more evidence.

The interval test is method A3 of NCSL RP-1: exact confidence limits on the observed reliability; a target
outside them asks for another interval. Registers are weighed again and again, so that a longer interval asks for
more: proof that holds over all looks (schedule/lasting_proof.py), which lies within those limits too.
A table may have an error-rate rule of its own beside it.
"""

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum
from math import exp, log1p
from typing import Final

from msgspec import Struct, field

from appreg.core.rules.interval_tables import ErrorRateRule, Interval
from appreg.core.values.periods import Period
from appreg.errors import InputRefused
from appreg.schedule.evidence_limits import RateLimits, failure_limits, first_enough
from appreg.schedule.lasting_proof import below_for_good

USUAL_TARGET: Final = Decimal("0.02")
"""The failure rate a duty holder accepts where none is set: 2 %, as the error-rate rules of insurers have it."""
USUAL_CONFIDENCE: Final = Decimal("0.95")
MOST_INSPECTIONS: Final = 1_000_000
"""Where more would be needed, lengthening is out of reach."""
METHOD: Final = (
    "Exact limits on the failure rate (Clopper and Pearson 1934) are held against the target: NCSL RP-1, method A3. "
    "A longer interval asks for more: the evidence has to hold however often it is weighed (likelihood ratios mixed "
    "over lower rates, Robbins 1970; Ville's inequality, 1939)."
)
PROMISE: Final = (
    "Of groups that fail more often than the target, at most the share that the confidence leaves is ever said to "
    "need inspecting less often, if the target was set before looking; what a longer interval does is known only "
    "once items have been inspected at it."
)


class Advice(StrEnum):
    """What the evidence asks for; a suggestion until a person accepts it."""

    KEEP = "keep"
    LENGTHEN = "may be lengthened"
    SHORTEN = "should be shortened"
    TOO_LITTLE = "too little evidence"


class InspectionCounts(Struct, frozen=True, kw_only=True):
    """Finished inspections of like items at one interval; incomplete ones are not counted."""

    inspections: int
    failures: int
    """Inspections that ended in a fail."""
    visual_failures: int = 0
    """Those of them that failed on the visual inspection."""
    by_check: Mapping[str, int] = field(default_factory=dict)
    """By check name: how many inspections failed it."""
    clean_intervals: int | None = None
    """Whole intervals that had run before those without a failure, one at most each; None: one each."""
    first: int = 0
    """Left out: the first inspection of an item follows no interval."""
    retests: int = 0
    """Left out: an inspection after a failure tells of the repair."""
    earlier: int = 0
    """Left out: the time before it began before the interval was set."""
    too_soon: int = 0
    """Left out: the interval had not yet run."""
    early_failures: int = 0
    """Those of them that failed, which is within the interval all the same: held against a longer one."""
    long_after: int = 0
    """Left out: the interval had run out long before."""

    @property
    def left_out(self) -> str:
        """What was left out, in words; empty: nothing."""
        parts = [
            (self.first, f"first inspection{'s' * (self.first != 1)}"),
            (self.retests, f"retest{'s' * (self.retests != 1)} after a failure"),
            (self.earlier, "begun before the interval was set"),
            (self.too_soon, "too soon after the one before"),
            (self.long_after, "long after the interval"),
        ]
        said = [f"{number} {words}" for number, words in parts if number]
        return " and ".join(part for part in (", ".join(said[:-1]), *said[-1:]) if part)

    def __post_init__(self) -> None:
        if not 0 <= self.visual_failures <= self.failures <= self.inspections:
            raise InputRefused(
                f"{self.failures} failures ({self.visual_failures} visual) in {self.inspections} inspections "
                "cannot be; count them again."
            )
        if not 0 <= self.clean <= self.inspections - self.failures:
            raise InputRefused(f"{self.clean} whole intervals cannot be; count them again.")

    @property
    def electrical_failures(self) -> int:
        """Inspections that passed the visual check and failed another."""
        return self.failures - self.visual_failures

    @property
    def clean(self) -> int:
        """Whole intervals without a failure."""
        return self.inspections - self.failures if self.clean_intervals is None else self.clean_intervals

    @property
    def weighed(self) -> int:
        """What failures are held against: the whole intervals, and the failures themselves."""
        return self.failures + self.clean

    @property
    def rate(self) -> float | None:
        """Failures in each whole interval; None where none has run."""
        return self.failures / self.weighed if self.weighed else None


class RuleAnswer(Struct, frozen=True, kw_only=True):
    """What a table's own error-rate rule says."""

    may_lengthen: bool
    rate_percent: Decimal
    """The error rate, %, exact to two places."""
    below_percent: Decimal
    longest: Period | None
    """No interval may become longer than this."""
    source: str


class Evidence(Struct, frozen=True, kw_only=True):
    """The numbers and what they ask for."""

    counts: InspectionCounts
    target: Decimal
    """Accepted failure rate, a fraction."""
    confidence: Decimal
    limits: RateLimits | None
    """Two-sided limits on the failure rate; None without inspections."""
    advice: Advice
    further_clean: int | None
    """Fewest further inspections without a failure that would allow lengthening; 0: it is allowed now.

    None: more than could ever be made.
    """
    rule: RuleAnswer | None

    @property
    def sentence(self) -> str:
        """The advice with its numbers."""
        if self.limits is None:
            return f"{self.advice}: no inspection counts yet"
        low, high = (f"{100 * limit:.2f}" for limit in self.limits)
        counts = self.counts
        weighed = "" if counts.weighed == counts.inspections else f", weighing as {counts.weighed} whole intervals"
        early = f", and {counts.early_failures} sooner" if counts.early_failures else ""
        return (
            f"{self.advice}: {counts.failures} of {counts.inspections} failed{weighed}{early}, "
            f"{low} to {high} % with {100 * self.confidence:.0f} % confidence, target {100 * self.target:f} %"
        )


def rate_after(rate: float, now: Period, then: Period) -> float:
    """What a failure rate within one interval comes to within another, if failures come evenly over time."""
    times = then.mean_days_times(1000) / now.mean_days_times(1000)
    return 1 - exp(times * log1p(-rate)) if rate < 1 else 1.0


def weigh_evidence(
    counts: InspectionCounts,
    *,
    target: Decimal = USUAL_TARGET,
    confidence: Decimal = USUAL_CONFIDENCE,
    rule: ErrorRateRule | None = None,
    interval: Interval | None = None,
) -> Evidence:
    """Hold the failures of like items against a target rate; raises InputRefused for a target that is none."""
    if not 0 < target < 1 or not 0 < confidence < 1:
        raise InputRefused("Target and confidence must lie between 0 and 100 %; give, say, 2 % and 95 %.")
    limits = None
    if counts.weighed:
        limits = failure_limits(counts.failures, counts.weighed, float(confidence))
    return Evidence(
        counts=counts,
        target=target,
        confidence=confidence,
        limits=limits,
        advice=_advice(counts, limits, float(target), float(confidence)),
        further_clean=_further_clean(counts, float(target), float(confidence)),
        rule=_rule_answer(counts, rule, interval) if rule and counts.inspections else None,
    )


def _advice(counts: InspectionCounts, limits: RateLimits | None, target: float, confidence: float) -> Advice:
    if limits is None:
        return Advice.TOO_LITTLE
    if limits.lower > target:
        return Advice.SHORTEN
    error = 1 - confidence
    if below_for_good(counts.failures + counts.early_failures, counts.clean, target, error):
        return Advice.LENGTHEN
    fewest = first_enough(0, lambda clean: below_for_good(0, clean, target, error))
    return Advice.TOO_LITTLE if counts.weighed < fewest else Advice.KEEP


def _further_clean(counts: InspectionCounts, target: float, confidence: float) -> int | None:
    """More clean inspections only ever prove more, so the first that are enough are searched for."""
    failures = counts.failures + counts.early_failures

    def enough(clean: int) -> bool:
        return clean > MOST_INSPECTIONS or below_for_good(failures, clean, target, 1 - confidence)

    needed = first_enough(counts.clean, enough)
    return None if needed > MOST_INSPECTIONS else max(0, needed - counts.clean)


def _rule_answer(counts: InspectionCounts, rule: ErrorRateRule, interval: Interval | None) -> RuleAnswer:
    exact = Decimal(100 * counts.failures) / counts.inspections
    return RuleAnswer(
        may_lengthen=100 * counts.failures < rule.below_percent * counts.inspections,
        rate_percent=exact.quantize(Decimal("0.01")),
        below_percent=rule.below_percent,
        longest=interval.longest if interval else None,
        source=rule.citation.line,
    )
