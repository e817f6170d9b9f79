"""Visit plans against OR-tools' CP-SAT solver and against trying every set of days.

All 500 cases are run by `python -m tests.bench.compare_plans`; here a sample of them, as many as a minute allows.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.schedule.visit_plans import plan_visits
from tests.outside.plan_reference import fewest_by_solver, fewest_by_trying, random_site


@pytest.mark.parametrize("seed", range(30))
def test_a_small_plan_has_as_few_visits_as_trying_every_set_finds(seed: int) -> None:
    items, terms = random_site(seed, most_items=4, months=18, every_days=45)
    plan = plan_visits(items, terms)
    fewest = fewest_by_trying(items, terms)
    assert plan.bound <= fewest <= len(plan.visits) <= fewest + 1


@settings(max_examples=25)
@given(st.integers(1000, 100_000))
def test_the_two_references_agree_with_each_other(seed: int) -> None:
    items, terms = random_site(seed, most_items=3, months=12, every_days=45)
    assert fewest_by_trying(items, terms) == fewest_by_solver(items, terms)


def test_rolling_plans_are_optimal_in_nearly_all_cases_and_never_more_than_one_visit_over() -> None:
    over = []
    cases = 30
    for seed in range(cases):
        items, terms = random_site(seed, most_items=12, months=24, every_days=14)
        plan = plan_visits(items, terms)
        fewest = fewest_by_solver(items, terms)
        assert plan.bound <= fewest, seed
        over.append(len(plan.visits) - fewest)
    assert min(over) == 0
    assert max(over) <= 1
    assert over.count(0) >= 0.95 * cases
