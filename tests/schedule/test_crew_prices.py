"""The bound by prices: never above a plan that exists, and close to it where days are full."""

import random
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.core.values.periods import Period
from appreg.schedule.crew_planning import plan_crews
from appreg.schedule.crew_terms import CrewTerms, PlanCrew, PlanSite
from appreg.schedule.plan_items import PlanItem, PlanLine
from tests.outside.crew_reference import crowded_estate, uniform_bins


@pytest.mark.parametrize("seed", [20, 34])
def test_the_bound_of_a_crowded_estate_lies_close_below_its_plan(seed: int) -> None:
    sites, terms = crowded_estate(seed)
    plan = plan_crews(sites, terms, effort=3000)
    assert plan.bound <= len(plan.days_out)
    assert plan.gap_percent <= 20


def test_the_bound_holds_for_every_plan_whatever_its_effort() -> None:
    for seed in (22, 27, 29):
        sites, terms = crowded_estate(seed)
        plans = [plan_crews(sites, terms, effort=effort) for effort in (0, 4000)]
        assert all(not (plan.late_items or plan.waiting or plan.hasty) for plan in plans), seed
        assert max(plan.bound for plan in plans) <= min(len(plan.days_out) for plan in plans)


def test_a_packing_of_one_day_is_bounded_by_its_minutes() -> None:
    sites, terms = uniform_bins(1, 24)
    minutes = sum(item.test.minutes for item in sites[0].items if item.test)
    assert plan_crews(sites, terms, effort=0).bound >= -(-minutes // 150)


def test_the_larger_crew_has_its_days_only_once_for_all_sites_together() -> None:
    # 4 days of 100 minutes and 4 of 50: 500 minutes of work at five sites take the large ones and two small ones.
    days = [date(2027, 3, 1) + timedelta(days=ahead) for ahead in range(4)]
    line = PlanLine(due=days[-1], period=Period(months=24), minutes=25)
    sites = [
        PlanSite(
            key=str(site),
            items=tuple(PlanItem(key=f"{site}.{each}", visual=None, test=line) for each in range(4)),
            allowed=days,
            district="harbour",
        )
        for site in range(5)
    ]
    crews = tuple(PlanCrew(key=str(minutes), people=1, minutes=dict.fromkeys(days, minutes)) for minutes in (100, 50))
    plan = plan_crews(sites, CrewTerms(start=days[0], end=days[-1], crews=crews))
    assert (len(plan.days_out), plan.bound, plan.late_items) == (6, 6, 0)


FIRST = date(2027, 1, 4)
HALF_YEAR = Period(days=182)


def hidden_plan(seed: int) -> tuple[list[PlanSite], CrewTerms, int]:
    """Sites made round a plan that keeps everything in date: what is done on a day comes again half a year later.

    Returns how many days out that plan has.
    """
    dice = random.Random(seed)
    days = [FIRST + timedelta(days=ahead) for ahead in range(364)]
    minutes, overhead = dice.choice((60, 120)), dice.choice((0, 15))
    crews = tuple(
        PlanCrew(key=str(each), people=people, minutes=dict.fromkeys(days, minutes))
        for each, people in enumerate(dice.choices((1, 2), k=dice.randrange(1, 3)))
    )
    items: list[list[PlanItem]] = [[] for _ in range(dice.randrange(1, 4))]
    outings = 0
    for day in sorted(dice.sample(days[:180], dice.randrange(1, 5))):
        for crew in crews[: dice.randrange(1, len(crews) + 1)]:
            made, again = hidden_day(dice, day, crew.people * (minutes - overhead), f"{day} {crew.key}")
            dice.choice(items).extend(made)
            outings += 1 + again
    sites = [
        PlanSite(key=str(number), items=tuple(there), allowed=days, set_up_minutes=overhead)
        for number, there in enumerate(items)
    ]
    return sites, CrewTerms(start=days[0], end=days[-1], crews=crews), outings


def hidden_day(dice: random.Random, day: date, room: int, name: str) -> tuple[list[PlanItem], bool]:
    """Items that fill a day or part of it, and whether anything is done on them half a year later."""
    items: list[PlanItem] = []
    again = False
    left = dice.randrange(room // 2, room + 1)
    while left > 0:
        takes = min(left, dice.randrange(5, 50))
        left -= takes
        due = day + timedelta(days=dice.randrange(40))
        test, looked = dice.choice(((HALF_YEAR, False), (Period(months=36), True), (Period(months=36), False)))
        again = again or looked or test == HALF_YEAR
        look = PlanLine(due=due, period=HALF_YEAR, minutes=dice.randrange(1, takes + 1)) if looked else None
        line = PlanLine(due=due, period=test, minutes=takes)
        items.append(PlanItem(key=f"{name} {len(items)}", visual=look, test=line))
    return items, again


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 1_000_000))
def test_the_bound_is_never_above_a_plan_that_is_known_to_exist(seed: int) -> None:
    sites, terms, outings = hidden_plan(seed)
    assert plan_crews(sites, terms, effort=0).bound <= outings
