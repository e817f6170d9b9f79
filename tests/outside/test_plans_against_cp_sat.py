"""Visit plans against OR-tools' CP-SAT solver and against trying every set of days.

All 500 cases are run by `python -m tests.bench.compare_plans`; here a sample of them, as many as a minute allows.
"""

import random
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from appreg.schedule.day_grid import Window
from appreg.schedule.visit_plans import plan_visits
from appreg.schedule.window_stabbing import fewest_days
from tests.outside.plan_reference import fewest_by_solver, fewest_by_trying, random_site

WINDOWS = st.lists(st.tuples(st.integers(0, 9), st.integers(0, 4)).map(lambda w: Window(w[0], min(9, w[0] + w[1]))))


def met(windows: list[Window], days: list[int] | tuple[int, ...]) -> bool:
    return all(any(window.first <= day <= window.last for day in days) for window in windows)


@given(WINDOWS)
def test_one_round_is_met_by_as_few_days_as_trying_every_set_finds(windows: list[Window]) -> None:
    days = fewest_days(windows)
    assert met(windows, days)
    fewest = next(k for k in range(11) if any(met(windows, some) for some in combinations(range(10), k)))
    assert len(days) == fewest


def test_one_round_at_200_random_sites_agrees_with_the_solver() -> None:
    for seed in range(200):
        dice = random.Random(seed)
        windows = []
        for _ in range(dice.randrange(1, 120)):
            first = dice.randrange(300)
            windows.append(Window(first, first + dice.randrange(1, 40)))
        model = cp_model.CpModel()
        visited = [model.new_bool_var("") for _ in range(340)]
        for window in windows:
            model.add_at_least_one(visited[window.first : window.last + 1])
        model.minimize(sum(visited))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 2
        assert solver.solve(model) == cp_model.OPTIMAL
        assert len(fewest_days(windows)) == round(solver.objective_value), seed


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
