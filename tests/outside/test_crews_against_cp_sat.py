"""Plans by crews against OR-tools' CP-SAT solver, on crowded estates and on bin-packing problems.

All 300 cases are run by `python -m tests.bench.compare_crews`; here a sample of them, small enough to be proven.
"""

from collections.abc import Iterator

import pytest

from appreg.schedule.crew_planning import plan_crews
from tests.outside.crew_reference import crowded_estate, fewest_bins, fewest_days_out, uniform_bins
from tests.schedule.crew_walk import faults, hasty_days

PROVEN = (1, 3, 4, 8, 9, 11, 13, 14, 21, 23, 31, 89, 100, 102, 104, 106, 107, 108, 113, 123, 127, 128, 130, 131, 135)
"""Crowded estates for which the solver needs a second or two at most."""


def compared(seeds: tuple[int, ...]) -> Iterator[tuple[int, int]]:
    for seed in seeds:
        sites, terms = crowded_estate(seed)
        best = fewest_days_out(sites, terms, seconds=6)
        plan = plan_crews(sites, terms, effort=6000)
        assert faults(plan, sites, terms) == [], seed
        if best.days is None:
            continue
        assert plan.late_items == 0, f"estate {seed}: the solver finds a plan without lateness"
        assert hasty_days(plan) <= best.hasty, f"estate {seed}: the solver has less before its tolerance"
        assert plan.bound <= best.days, seed
        yield len(plan.days_out), best.days


def test_crowded_plans_are_never_late_where_none_need_be_and_have_hardly_more_days() -> None:
    pairs = list(compared(PROVEN))
    assert len(pairs) >= 20
    assert sum(days for days, _ in pairs) <= 1.03 * sum(best for _, best in pairs)
    assert max(days - best for days, best in pairs) <= 2


@pytest.mark.parametrize("seed", range(4))
def test_bins_of_the_uniform_class_are_packed_into_at_most_one_more(seed: int) -> None:
    sites, terms = uniform_bins(seed, 24)
    plan = plan_crews(sites, terms, effort=6000)
    minutes = [item.test.minutes for item in sites[0].items if item.test]
    fewest = fewest_bins(minutes, 150, seconds=4)
    assert plan.late_items == 0
    assert plan.bound <= fewest
    assert len(plan.days_out) <= fewest + 1
    assert faults(plan, sites, terms) == []
