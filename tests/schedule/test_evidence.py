"""What the evidence asks for, and how much more of it would be needed."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.periods import Period
from appreg.errors import InputRefused
from appreg.schedule.evidence import Advice, Evidence, InspectionCounts, rate_after, weigh_evidence

TARGET = Decimal("0.02")


def weighed(inspections: int, failures: int, target: str = "0.02") -> Evidence:
    return weigh_evidence(InspectionCounts(inspections=inspections, failures=failures), target=Decimal(target))


@pytest.mark.parametrize(
    ("inspections", "failures", "advice"),
    [
        (0, 0, Advice.TOO_LITTLE),
        (10, 0, Advice.TOO_LITTLE),
        (223, 0, Advice.TOO_LITTLE),
        (224, 0, Advice.LENGTHEN),
        (224, 1, Advice.KEEP),
        (440, 2, Advice.KEEP),
        (441, 2, Advice.LENGTHEN),
        (400, 8, Advice.KEEP),
        (400, 20, Advice.SHORTEN),
        (10, 3, Advice.SHORTEN),
        (10, 10, Advice.SHORTEN),
    ],
)
def test_the_target_outside_the_limits_asks_for_another_interval(
    inspections: int, failures: int, advice: Advice
) -> None:
    assert weighed(inspections, failures).advice is advice


@given(st.integers(0, 600), st.integers(0, 30))
def test_so_many_further_clean_inspections_allow_lengthening_and_one_fewer_does_not(n: int, x: int) -> None:
    failures = min(n, x)
    further = weighed(n, failures).further_clean
    assert further is not None
    assert weighed(n + further, failures).advice is Advice.LENGTHEN
    if further:
        assert weighed(n + further - 1, failures).advice is not Advice.LENGTHEN


@given(st.integers(1, 500), st.integers(0, 500))
def test_one_more_failure_never_speaks_for_a_longer_interval(n: int, x: int) -> None:
    order = [Advice.SHORTEN, Advice.TOO_LITTLE, Advice.KEEP, Advice.LENGTHEN]
    fewer, more = weighed(n, min(x, n - 1)), weighed(n, min(x, n - 1) + 1)
    rank = {Advice.SHORTEN: 0, Advice.TOO_LITTLE: 1, Advice.KEEP: 1, Advice.LENGTHEN: 2}
    assert rank[more.advice] <= rank[fewer.advice]
    assert {fewer.advice, more.advice} <= set(order)
    assert more.limits and fewer.limits  # noqa: PT018 - each narrows a type
    assert more.limits.upper >= fewer.limits.upper


@given(st.integers(0, 3000), st.integers(0, 60), st.sampled_from(["0.005", "0.02", "0.2"]))
def test_what_holds_over_all_looks_lies_within_the_limits_of_one(n: int, x: int, target: str) -> None:
    evidence = weighed(n, min(n, x), target)
    if evidence.advice is Advice.LENGTHEN:
        assert evidence.limits
        assert evidence.limits.upper <= float(target)


def test_time_that_did_not_run_proves_nothing() -> None:
    # 300 clean inspections, but three quarters of the interval before each: 225 whole intervals are enough, 223 are not.
    enough = weigh_evidence(InspectionCounts(inspections=300, failures=0, clean_intervals=225))
    short = weigh_evidence(InspectionCounts(inspections=300, failures=0, clean_intervals=223))
    assert (enough.advice, short.advice, short.further_clean) == (Advice.LENGTHEN, Advice.TOO_LITTLE, 1)
    assert enough.sentence.startswith(
        "may be lengthened: 0 of 300 failed, weighing as 225 whole intervals, 0.00 to 1.63 %"
    )
    with pytest.raises(InputRefused, match="whole intervals cannot be"):
        InspectionCounts(inspections=300, failures=1, clean_intervals=300)


def test_what_failed_sooner_than_the_interval_holds_a_longer_one_back() -> None:
    kept = weigh_evidence(InspectionCounts(inspections=250, failures=0, too_soon=9, early_failures=2))
    # Two failures ask for 441 inspections, 439 of them clean.
    assert (kept.advice, kept.further_clean) == (Advice.KEEP, 439 - 250)
    assert kept.sentence.startswith("keep: 0 of 250 failed, and 2 sooner, 0.00 to 1.46 %")


@pytest.mark.parametrize(("months", "rate"), [(6, 0.0101), (12, 0.02), (24, 0.0396)])
def test_what_a_rate_comes_to_within_another_interval(months: int, rate: float) -> None:
    # Derived: 1 - 0.98^(months / 12).
    assert rate_after(0.02, Period(months=12), Period(months=months)) == pytest.approx(rate, abs=5e-5)
    assert rate_after(1.0, Period(months=12), Period(months=months)) == 1.0


def test_visual_failures_are_told_apart_from_electrical_ones() -> None:
    counts = InspectionCounts(
        inspections=50, failures=5, visual_failures=3, by_check={"visual": 3, "insulation": 1, "earth-continuity": 1}
    )
    assert counts.electrical_failures == 2
    assert counts.rate == 0.1


def test_the_sentence_says_the_numbers() -> None:
    assert weighed(400, 20).sentence == (
        "should be shortened: 20 of 400 failed, 3.08 to 7.62 % with 95 % confidence, target 2.00 %"
    )
    assert weighed(0, 0).sentence == "too little evidence: no inspection counts yet"


@pytest.mark.parametrize(("n", "x", "visual"), [(5, 6, 0), (5, -1, 0), (5, 2, 3), (-1, 0, 0)])
def test_counts_that_cannot_be_are_refused(n: int, x: int, visual: int) -> None:
    with pytest.raises(InputRefused, match="count them again"):
        InspectionCounts(inspections=n, failures=x, visual_failures=visual)


@pytest.mark.parametrize("target", ["0", "1", "-0.1", "2"])
def test_a_target_outside_nothing_and_everything_is_refused(target: str) -> None:
    with pytest.raises(InputRefused, match="between 0 and 100"):
        weighed(10, 0, target)
