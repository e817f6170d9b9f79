from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.judging.check_findings import compare
from appreg.core.rules.limits import Limit
from appreg.core.rules.rule_values import Basis, Citation
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Comparator, Reading, Unit, parse_reading

PASS, FAIL, UNSURE = CheckResult.PASS, CheckResult.FAIL, CheckResult.INCONCLUSIVE
BETTER = [FAIL, UNSURE, PASS]
FIGURES = st.decimals(min_value=0, max_value=1000, places=3, allow_nan=False, allow_infinity=False)


def limit(low: str = "", high: str = "") -> Limit:
    return Limit(
        low=D(low) if low else None,
        high=D(high) if high else None,
        unit=Unit.OHM,
        arithmetic="",
        citation=Citation(source="test", basis=Basis.COMMON_PRACTICE),
    )


def reading(comparator: Comparator, value: D) -> Reading:
    return Reading(typed="", comparator=comparator, value=value, unit=Unit.OHM)


@pytest.mark.parametrize(
    ("typed", "result"),
    [
        ("0.1", PASS), ("0.10", PASS), ("0.11", FAIL), ("0.1000001", FAIL), ("<0.1", PASS), ("<0.05", PASS),
        ("<0.2", UNSURE), (">0.05", UNSURE), (">0.1", FAIL), (">0.2", FAIL), ("OL", FAIL), ("0", PASS),
    ],
)  # fmt: skip
def test_an_upper_limit_is_met_only_by_what_is_proven_at_or_below_it(typed: str, result: CheckResult) -> None:
    assert compare(parse_reading(typed, Unit.OHM), limit(high="0.1")).result is result


@pytest.mark.parametrize(
    ("typed", "result"),
    [
        ("2", PASS), ("2.00", PASS), ("1.99", FAIL), (">2", PASS), (">299", PASS), (">1", UNSURE), ("<2", FAIL),
        ("<1", FAIL), ("<3", UNSURE), ("OL", UNSURE),
    ],
)  # fmt: skip
def test_a_lower_limit_is_met_only_by_what_is_proven_at_or_above_it(typed: str, result: CheckResult) -> None:
    assert compare(parse_reading(typed, Unit.OHM), limit(low="2")).result is result


@pytest.mark.parametrize(
    ("typed", "result"),
    [
        ("129", FAIL), ("130", PASS), ("500", PASS), ("501", FAIL), ("<140", UNSURE), ("<130", FAIL), (">400", UNSURE),
        (">500", FAIL), ("OL", FAIL),
    ],
)  # fmt: skip
def test_between_two_limits_both_must_be_met(typed: str, result: CheckResult) -> None:
    assert compare(parse_reading(typed, Unit.OHM), limit(low="130", high="500")).result is result


def test_a_reading_that_proves_nothing_says_why() -> None:
    unsure = compare(parse_reading(">0.05", Unit.OHM), limit(high="0.1"))
    assert unsure.reason == ">0.05 proves nothing: it ends below 0.1 Ω"
    assert "say >299" in compare(parse_reading("OL", Unit.OHM), limit(low="2")).reason


@given(st.sampled_from(Comparator), FIGURES, FIGURES, FIGURES)
def test_a_higher_reading_never_does_better_against_an_upper_limit(
    comparator: Comparator, one: D, other: D, high: D
) -> None:
    lower, higher = sorted((one, other))
    results = [compare(reading(comparator, value), limit(high=str(high))).result for value in (lower, higher)]
    assert BETTER.index(results[1]) <= BETTER.index(results[0])


@given(st.sampled_from(Comparator), FIGURES, FIGURES, FIGURES)
def test_a_lower_reading_never_does_better_against_a_lower_limit(
    comparator: Comparator, one: D, other: D, low: D
) -> None:
    lower, higher = sorted((one, other))
    results = [compare(reading(comparator, value), limit(low=str(low))).result for value in (lower, higher)]
    assert BETTER.index(results[0]) <= BETTER.index(results[1])


@given(st.sampled_from(Comparator), FIGURES, FIGURES, FIGURES)
def test_a_pass_holds_for_every_value_the_display_allows(comparator: Comparator, shown: D, true: D, high: D) -> None:
    allowed = {Comparator.EQUAL: true == shown, Comparator.LESS: true < shown, Comparator.GREATER: true > shown}
    if allowed[comparator] and compare(reading(comparator, shown), limit(high=str(high))).result is PASS:
        assert true <= high
