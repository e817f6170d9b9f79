"""The bound of a plan against every plan of small cases, and its parts: rounds of a district, items that wait."""

import random
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import product

import pytest
from msgspec.structs import replace

from appreg.core.values.periods import Period
from appreg.schedule.crew_planning import plan_crews
from appreg.schedule.crew_terms import CrewTerms, PlanCrew, PlanSite
from appreg.schedule.plan_items import PlanItem, PlanLine
from tests.schedule.crew_walk import faults

MONDAY = date(2027, 3, 1)


def small_case(seed: int) -> tuple[list[PlanSite], CrewTerms]:
    """One or two sites, in one district or apart, five items that fall due once, six days of one crew or two."""
    dice = random.Random(seed)
    days = [MONDAY + timedelta(days=ahead) for ahead in range(6)]
    items: list[list[PlanItem]] = [[] for _ in range(dice.choice((1, 2)))]
    for number in range(5):
        line = PlanLine(
            due=dice.choice(days[1:]), period=Period(days=dice.choice((8, 16))), minutes=dice.randrange(15, 55)
        )
        dice.choice(items).append(PlanItem(key=str(number), visual=None, test=line))
    sites = [
        PlanSite(
            key=str(number),
            items=tuple(there),
            allowed=days,
            set_up_minutes=dice.choice((0, 10)),
            travel_minutes=dice.choice((0, 5)),
            district=dice.choice(("", "harbour")),
        )
        for number, there in enumerate(items)
    ]
    crews = tuple(
        PlanCrew(key=str(each), people=people, minutes=dict.fromkeys(days, 80))
        for each, people in enumerate(dice.choice(((1,), (1, 1), (1, 2))))
    )
    return sites, CrewTerms(start=days[0], end=days[-1], crews=crews, within_district={"harbour": 6})


def ways(site: PlanSite, item: PlanItem, terms: CrewTerms) -> Iterator[tuple[date, str, str]]:
    """Every day and crew on which an item is in time and not too early."""
    line = item.test
    assert line is not None
    assert line.due is not None
    early = timedelta(days=line.period.days * terms.tolerance_percent // 100)
    for day in site.allowed:
        if line.due - early <= day <= line.due:
            for crew in terms.crews:
                yield day, crew.key, site.key


def fits(crew: PlanCrew, sites: list[PlanSite], work: int, within: int) -> bool:
    """Whether the sites and the work of one day out are within its hours and one area."""
    if len(sites) > 1 and (not sites[0].district or len({site.district for site in sites}) > 1):
        return False
    travel = 2 * max(site.travel_minutes for site in sites) + within * (len(sites) - 1)
    return work + crew.people * (travel + sum(site.set_up_minutes for site in sites)) <= crew.people * 80


def fewest_of_all_plans(sites: list[PlanSite], terms: CrewTerms) -> int | None:
    """The fewest days out of every plan in which all is in time; None: there is none."""
    crews = {crew.key: crew for crew in terms.crews}
    by_key = {site.key: site for site in sites}
    minutes = [item.test.minutes for site in sites for item in site.items if item.test]
    best: int | None = None
    for chosen in product(*(list(ways(site, item, terms)) for site in sites for item in site.items)):
        out: dict[tuple[date, str], tuple[set[str], int]] = {}
        for (day, crew, site), takes in zip(chosen, minutes, strict=True):
            there, work = out.get((day, crew), (set(), 0))
            out[day, crew] = (there | {site}, work + takes)
        if best is not None and len(out) >= best:
            continue
        if all(
            fits(crews[crew], [by_key[key] for key in sorted(there)], work, terms.within_district["harbour"])
            for (_, crew), (there, work) in out.items()
        ):
            best = len(out)
    return best


def test_the_bound_is_never_above_the_best_of_all_plans_of_a_small_case_and_mostly_meets_it() -> None:
    met = tried = 0
    for seed in range(24):
        sites, terms = small_case(seed)
        best = fewest_of_all_plans(sites, terms)
        plan = plan_crews(sites, terms, effort=600)
        assert faults(plan, sites, terms) == [], seed
        if best is None:
            continue
        assert plan.late_items == 0, seed
        assert plan.bound <= best <= len(plan.days_out), seed
        tried += 1
        met += plan.bound == best
    assert tried >= 15
    assert met >= 0.8 * tried


def a_site(key: str, *dues: date, days: list[date], minutes: int = 40, **facts: object) -> PlanSite:
    items = tuple(
        PlanItem(key=f"{key}{at}", visual=None, test=PlanLine(due=due, period=Period(months=12), minutes=minutes))
        for at, due in enumerate(dues)
    )
    return replace(PlanSite(key=key, items=items, allowed=days, travel_minutes=20, set_up_minutes=10), **facts)


def test_the_bound_knows_that_no_day_out_reaches_two_sites_of_a_district() -> None:
    # 105 minutes would hold two items at one site; at two sites they take 2 x 20 + 2 x 10 + 2 x 25 = 110.
    days = [MONDAY + timedelta(days=7 * ahead) for ahead in range(8)]
    sites = [a_site(key, days[-1], days=days, minutes=25, district="harbour") for key in "abc"]
    crew = PlanCrew(key="first", people=1, minutes=dict.fromkeys(days, 105))
    plan = plan_crews(sites, CrewTerms(start=days[0], end=days[-1], crews=(crew,)))
    assert (len(plan.days_out), plan.bound) == (3, 3)


@pytest.mark.parametrize("wait", [1, 60])
def test_what_waits_stands_in_the_bound_as_long_as_it_waits(wait: int) -> None:
    # Two are overdue by a little and take the first days of the crew; from then on each comes round once a year.
    days = [MONDAY + timedelta(days=wait * ahead) for ahead in range(2 + 900 // wait)]
    site = a_site("a", MONDAY - timedelta(days=1), MONDAY - timedelta(days=1), days=days)
    crew = PlanCrew(key="first", people=1, minutes=dict.fromkeys(days, 95))
    plan = plan_crews([site], CrewTerms(start=days[0], end=MONDAY + timedelta(days=1000), crews=(crew,)))
    assert len(plan.waiting) == 1
    assert plan.late_items == 0
    assert plan.bound == len(plan.days_out)
