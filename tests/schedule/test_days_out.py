"""Days out: ways, setting up and work reckoned by hand."""

from datetime import date

import pytest

from appreg.schedule.crew_plans import SiteVisit
from appreg.schedule.days_out import VisitedPlace, cost_of_days, cost_of_dues, day_out, travel_of
from appreg.schedule.plan_items import LineKind, PlannedInspection

DAY = date(2027, 3, 2)


def place(site: str, district: str = "", travel: int = 30, set_up: int = 10) -> VisitedPlace:
    return VisitedPlace(site=site, district=district, travel_minutes=travel, set_up_minutes=set_up)


def visit(site: str, minutes: int) -> SiteVisit:
    work = PlannedInspection(key=site, kind=LineKind.TEST, due=DAY, early_days=0, late_days=0, minutes=minutes)
    return SiteVisit(site=site, inspections=(work,), set_up_minutes=10)


@pytest.mark.parametrize(
    ("places", "minutes"),
    [
        ((), 0),
        ((place("a"),), 60),
        ((place("a", "north"), place("b", "north")), 30 + 12 + 30),
        ((place("a", "north"), place("b", "quay")), 30 + 25 + 30),
        ((place("a", "north"), place("b", "south")), 4 * 30),
        ((place("a"), place("b")), 4 * 30),
    ],
)
def test_ways_lead_from_the_base_through_the_districts_and_back(places: tuple[VisitedPlace, ...], minutes: int) -> None:
    ways = {("north", "north"): 12, ("quay", "north"): 25}
    assert travel_of(places, ways) == minutes


def test_a_day_out_takes_ways_and_setting_up_of_everybody_and_the_work_once() -> None:
    out = day_out(
        DAY,
        crew="n",
        people=2,
        capacity_minutes=400,
        visits=[(place("a"), visit("a", 200))],
        ways={},
    )
    assert out.minutes == 200 + 2 * (60 + 10)
    assert not out.is_over
    assert cost_of_days([out], full_day=480) == cost_of_days([out], full_day=170)
    assert cost_of_days([out], full_day=100).days_out == 2


def test_going_whenever_due_has_the_way_again_for_what_does_not_fit_into_a_day() -> None:
    dues = [(place("a", "north"), {DAY: 700}), (place("b", "north"), {DAY: 100, date(2027, 4, 1): 5})]
    cost = cost_of_dues(dues, people=1, full_day=480, ways={("north", "north"): 0})
    # 2 March: 800 min of work, 60 of ways and 20 of setting up a day: two days; 1 April: one day of 5 + 60 + 10 min.
    assert (cost.days_out, cost.visits, cost.minutes) == (3, 3, 800 + 2 * 80 + 75)
