"""Failure rates and interval tests against scipy, NIST's handbook and the published rules."""

from datetime import date, timedelta
from decimal import Decimal
from functools import partial
from math import exp, log1p

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import hyp1f1
from scipy.stats import beta, binom, binomtest

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.rules.interval_tables import EquipmentKey
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.periods import Period
from appreg.schedule.as_found import Elapsed, elapsed_rule
from appreg.schedule.evidence import Advice, InspectionCounts, weigh_evidence
from appreg.schedule.evidence_limits import beta_quantile, beta_share, failure_limits, first_enough
from appreg.schedule.lasting_proof import below_for_good
from tests.outside.checked_values import Checked, case_name, cases

GRID = [(n, x) for n in (1, 2, 5, 20, 149, 1000, 20_000) for x in (0, 1, 2, 7, n // 3, n - 1, n) if 0 <= x <= n]


@pytest.mark.parametrize(("inspections", "failures"), GRID)
@pytest.mark.parametrize("confidence", [0.8, 0.9, 0.95, 0.99])
def test_limits_agree_with_scipy_over_a_grid(inspections: int, failures: int, confidence: float) -> None:
    exact = binomtest(failures, inspections).proportion_ci(confidence, method="exact")
    limits = failure_limits(failures, inspections, confidence)
    assert limits.lower == pytest.approx(exact.low, rel=1e-9, abs=1e-12)
    assert limits.upper == pytest.approx(exact.high, rel=1e-9, abs=1e-12)


@given(st.floats(1e-6, 1 - 1e-6), st.integers(1, 3000), st.integers(1, 3000))
def test_the_beta_distribution_agrees_with_scipy(value: float, a: int, b: int) -> None:
    assert beta_share(value, a, b) == pytest.approx(beta.cdf(value, a, b), rel=1e-8, abs=1e-12)


@given(st.floats(0.001, 0.999), st.integers(1, 2000), st.integers(1, 2000))
def test_the_quantile_gives_back_its_share(share: float, a: int, b: int) -> None:
    assert beta_quantile(share, a, b) == pytest.approx(beta.ppf(share, a, b), rel=1e-8)


def test_the_handbook_case_of_four_in_twenty() -> None:
    """NIST/SEMATECH e-Handbook of Statistical Methods 7.2.4 (published): 90 %, two-sided; its last digit is loose."""
    assert tuple(failure_limits(4, 20, 0.9)) == pytest.approx((0.071354, 0.401029), abs=1.5e-6)


def one_sided(inspections: int) -> float:
    """The upper limit of 95 % where none failed: of the two sides at 90 % each misses with 5 %."""
    return failure_limits(0, inspections, 0.9).upper


def test_149_clean_inspections_prove_two_percent_and_148_do_not() -> None:
    """Derived from the binomial distribution; scipy as reference."""
    assert round(one_sided(149), 6) == 0.019905
    assert one_sided(148) > 0.02
    assert binom.cdf(0, 149, one_sided(149)) == pytest.approx(0.05)


@pytest.mark.parametrize(("failures", "needed"), [(0, 149), (1, 236), (2, 313), (3, 386)])
def test_fewest_inspections_for_95_percent_surety_of_two_percent(failures: int, needed: int) -> None:
    """Derived from the binomial distribution; scipy as reference."""
    assert failure_limits(failures, needed, 0.9).upper <= 0.02 < failure_limits(failures, needed - 1, 0.9).upper
    assert binom.cdf(failures, needed, 0.02) <= 0.05 < binom.cdf(failures, needed - 1, 0.02)


@pytest.mark.parametrize("inspections", [31, 50, 100, 1000])
def test_the_rule_of_three_is_close_and_cautious(inspections: int) -> None:
    """Rule of three (second-hand): one-sided 95 % upper limit about 3/n for none in n, n over 30."""
    limit = one_sided(inspections)
    assert limit <= 3 / inspections
    assert limit == pytest.approx(3 / inspections, rel=0.06)


@pytest.mark.parametrize("target", [0.005, 0.02, 0.2])
@pytest.mark.parametrize("error", [0.2, 0.05, 0.01])
@pytest.mark.parametrize("failures", [0, 1, 4, 30])
def test_the_proof_over_all_looks_is_the_mixture_of_likelihood_ratios(
    failures: int, error: float, target: float
) -> None:
    """Robbins 1970 (from memory): the ratio integrated over the rates below the target; scipy as reference."""
    hazard = -log1p(-target)

    def mixture(clean: int) -> float:
        def ratio(share: float) -> float:
            return float(share**failures * exp(hazard * clean * (1 - share)))

        return float(quad(ratio, 0, 1, limit=200)[0])

    enough = first_enough(0, lambda clean: below_for_good(failures, clean, target, error))
    assert mixture(enough) >= (1 - 1e-9) / error
    assert mixture(enough - 1) < (1 + 1e-9) / error
    assert mixture(enough) == pytest.approx(hyp1f1(1, failures + 2, hazard * enough) / (failures + 1))


@pytest.mark.parametrize("rate", [0.02, 0.022, 0.03])
@pytest.mark.parametrize("error", [0.05, 0.2])
def test_looked_at_after_every_inspection_it_errs_no_more_often_than_promised(error: float, rate: float) -> None:
    """Ville 1939 (from memory); here worked out exactly, by the binomial distribution step by step, for 4 000 looks."""
    still = np.zeros(200)
    still[0] = 1.0
    most, erred = -1, 0.0
    for made in range(1, 4001):
        still[1:] = still[1:] * (1 - rate) + still[:-1] * rate
        still[0] *= 1 - rate
        while made > most + 1 and below_for_good(most + 1, made - most - 1, 0.02, error):
            most += 1
        erred += still[: most + 1].sum()
        still[: most + 1] = 0.0
    assert 0 < erred <= error


def test_94_good_of_100_against_98_percent_asks_for_a_shorter_interval() -> None:
    """NCSL RP-1 method A3 (published), figures derived: limits 0.87397 to 0.97767."""
    evidence = weigh_evidence(InspectionCounts(inspections=100, failures=6))
    assert evidence.limits is not None
    assert [round(1 - limit, 5) for limit in reversed(evidence.limits)] == [0.87397, 0.97767]
    assert evidence.advice is Advice.SHORTEN


def office_rule_lengthens(failures: int, expected: bool, book: RuleBook) -> None:
    table = book.interval_tables["dguv-v3"]
    key = EquipmentKey(appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE)
    answer = table.answer("office", key)
    assert answer is not None
    counts = InspectionCounts(inspections=100, failures=failures)
    rule = weigh_evidence(counts, rule=table.error_rate, interval=answer.test).rule
    assert rule is not None
    assert rule.may_lengthen is expected
    assert str(rule.longest) == "P2Y"
    assert rule.rate_percent == Decimal(failures)


def elapsed(days: int, expected: Elapsed, book: RuleBook) -> None:
    before = date(2025, 1, 1)
    assert elapsed_rule(book).of(before, before + timedelta(days=days), Period(days=100)) is expected


ERROR_RATE = ("intervals.dguv-v3.lengthening.error_rate_below",)
CHECKED = (
    *(
        Checked(
            book="*",
            keys=(f"evidence.elapsed-{key}",),
            expected=f"{days} days after, of an interval of 100: {expected.value}",
            source="evidence counts at the interval in question: three quarters to one and a half times",
            basis="common practice",
            run=partial(elapsed, days, expected),
        )
        for key, days, expected in (
            ("least", 74, Elapsed.TOO_SOON),
            ("least", 75, Elapsed.ABOUT),
            ("most", 150, Elapsed.ABOUT),
            ("most", 151, Elapsed.LONG_AFTER),
        )
    ),
    Checked(
        book="eu",
        keys=ERROR_RATE,
        expected="1 failure in 100 like items: may be lengthened",
        source="DGUV Vorschrift 3",
        basis="published",
        run=lambda book: office_rule_lengthens(1, True, book),
    ),
    Checked(
        book="eu",
        keys=ERROR_RATE,
        expected="2 failures in 100 like items: may not, the rate must be below 2 %",
        source="DGUV Vorschrift 3",
        basis="published",
        run=lambda book: office_rule_lengthens(2, False, book),
    ),
    Checked(
        book="eu",
        keys=ERROR_RATE,
        expected="3 failures in 100 like items: may not",
        source="DGUV Vorschrift 3",
        basis="published",
        run=lambda book: office_rule_lengthens(3, False, book),
    ),
)


@pytest.mark.parametrize(("row", "book_id"), cases(CHECKED), ids=case_name)
def test_the_error_rate_rule_of_dguv_v3(row: Checked, book_id: str) -> None:
    row.run(load_rule_book(book_id))


@pytest.mark.parametrize(("environment", "months"), [("office", 24), ("workshop", 12)])
def test_lengthening_ends_at_the_longest_interval_of_the_place(environment: str, months: int) -> None:
    """DGUV V3 table 1B (published): offices 2 years, workshops 1 year; here at an error rate of 1.5 %."""
    table = load_rule_book("eu").interval_tables["dguv-v3"]
    key = EquipmentKey(appliance_class=ApplianceClass.CLASS_I, equipment_type=EquipmentType.PORTABLE)
    answer = table.answer(environment, key)
    assert answer is not None
    rule = weigh_evidence(
        InspectionCounts(inspections=200, failures=3), rule=table.error_rate, interval=answer.test
    ).rule
    assert rule is not None
    assert rule.may_lengthen
    assert rule.longest is not None
    assert rule.longest.months == months
