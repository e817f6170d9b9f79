"""The bound by prices: never above a plan that exists, and close to it where days are full."""

import pytest

from appreg.schedule.crew_planning import plan_crews
from tests.outside.crew_reference import crowded_estate, uniform_bins


@pytest.mark.parametrize("seed", [20, 34])
def test_the_bound_of_a_crowded_estate_lies_close_below_its_plan(seed: int) -> None:
    sites, terms = crowded_estate(seed)
    plan = plan_crews(sites, terms, effort=3000)
    assert plan.bound <= len(plan.days_out)
    assert plan.gap_percent <= 20


def test_the_bound_holds_for_every_plan_whatever_its_effort() -> None:
    for seed in (22, 25, 27):
        sites, terms = crowded_estate(seed)
        plans = [plan_crews(sites, terms, effort=effort) for effort in (0, 4000)]
        assert all(not (plan.late_items or plan.waiting or plan.hasty) for plan in plans), seed
        assert max(plan.bound for plan in plans) <= min(len(plan.days_out) for plan in plans)


def test_a_packing_of_one_day_is_bounded_by_its_minutes() -> None:
    sites, terms = uniform_bins(1, 24)
    minutes = sum(item.test.minutes for item in sites[0].items if item.test)
    assert plan_crews(sites, terms, effort=0).bound >= -(-minutes // 150)
