"""Decision rules against ILAC-G8:09/2019, JCGM 106:2012, and scipy as a reference library."""

from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from appreg.core.judging.uncertainty import (
    Accuracy,
    Zone,
    accepts_guarded,
    conformance_probability,
    zone_of,
)


# ILAC-G8:09/2019, four outcomes with a guard band w = U (second-hand).
@pytest.mark.parametrize(
    ("reading", "expected"),
    [
        ("0.27", Zone.PASS),
        ("0.28", Zone.PASS),
        ("0.29", Zone.CONDITIONAL_PASS),
        ("0.30", Zone.CONDITIONAL_PASS),
        ("0.31", Zone.CONDITIONAL_FAIL),
        ("0.32", Zone.CONDITIONAL_FAIL),
        ("0.33", Zone.FAIL),
    ],
)
def test_an_upper_limit_of_0_30_with_u_0_02_gives_the_four_outcomes(reading: str, expected: Zone) -> None:
    assert zone_of(D(reading), D("0.02"), low=None, high=D("0.30")) is expected


# Derived from "reading <= TL / (1 + B)" and "reading >= TL / (1 - B)", B the operating uncertainty of EN 61557.
def test_thirty_per_cent_of_reading_leaves_0_2308_ohm_of_0_3() -> None:
    for reading, accepted in ((D("0.2307"), True), (D("0.2308"), False)):
        expanded = Accuracy(percent=D(30)).expanded(reading)
        assert accepts_guarded(reading, expanded, low=None, high=D("0.3")) is accepted


def test_thirty_per_cent_of_reading_asks_for_1_43_megohm_of_1() -> None:
    for reading, accepted in ((D("1.43"), True), (D("1.42"), False)):
        assert accepts_guarded(reading, Accuracy(percent=D(30)).expanded(reading), low=D(1), high=None) is accepted


@given(reading=st.decimals(min_value=1, max_value=1000, places=3))
def test_an_uncertainty_of_the_whole_reading_proves_no_lower_limit(reading: D) -> None:
    assert not accepts_guarded(reading, Accuracy(percent=D(100)).expanded(reading), low=D(1), high=None)


# JCGM 106:2012 examples; inputs from memory, results against Phi of scipy.
def test_jcgm_106_example_with_an_upper_limit() -> None:
    got = conformance_probability(D("-5.47"), D("0.10"), low=None, high=D("-5.40"))
    assert got == pytest.approx(0.92, abs=0.005)
    assert got == pytest.approx(norm.cdf((-5.40 + 5.47) / 0.05), rel=1e-12)


def test_jcgm_106_example_with_a_lower_limit() -> None:
    got = conformance_probability(D("509.7"), D("17.2"), low=D(490), high=None)
    assert got == pytest.approx(0.99, abs=0.005)
    assert got == pytest.approx(norm.sf((490 - 509.7) / 8.6), rel=1e-12)


numbers = st.decimals(min_value=-1000, max_value=1000, places=4)


@given(value=numbers, width=st.decimals(min_value="0.0001", max_value=100, places=4), low=numbers, high=numbers)
def test_probabilities_agree_with_scipy(value: D, width: D, low: D, high: D) -> None:
    low, high = sorted((low, high))
    u = float(width) / 2
    reference = max(0.0, float(norm.cdf(float(high), float(value), u) - norm.cdf(float(low), float(value), u)))
    assert conformance_probability(value, width, low=low, high=high) == pytest.approx(reference, rel=1e-9, abs=1e-12)


# ILAC-G8:09/2019 (published): w = U with k = 2 keeps the risk of a false acceptance under 2.5 %.
@given(reading=st.decimals(min_value="0.001", max_value=10, places=3), percent=st.integers(min_value=1, max_value=60))
def test_guarded_acceptance_keeps_the_risk_below_2_5_per_cent(reading: D, percent: int) -> None:
    expanded = Accuracy(percent=D(percent), digits=2, resolution=D("0.001")).expanded(reading)
    limit = D("0.5")
    if accepts_guarded(reading, expanded, low=None, high=limit):
        assert 1 - conformance_probability(reading, expanded, low=None, high=limit) < 0.025


@given(
    limit=st.decimals(min_value="0.01", max_value=100, places=3), percent=st.integers(0, 90), digits=st.integers(0, 9)
)
def test_the_largest_accepted_reading_is_accepted_and_anything_above_is_not(
    limit: D, percent: int, digits: int
) -> None:
    accuracy = Accuracy(percent=D(percent), digits=digits, resolution=D("0.001"))
    edge = (limit - digits * accuracy.resolution) / (1 + D(percent) / 100)
    step = D("0.000001")
    if edge > step:
        assert accepts_guarded(edge - step, accuracy.expanded(edge - step), low=None, high=limit)
    assert not accepts_guarded(edge + step, accuracy.expanded(edge + step), low=None, high=limit) or edge < 0


# An accuracy statement of the usual kind (common practice): ±(2 % of reading + 5 digits) at 0.01 Ω resolution.
def test_an_accuracy_statement_gives_its_half_width() -> None:
    assert Accuracy(percent=D(2), digits=5, resolution=D("0.01")).expanded(D("0.50")) == D("0.0600")
