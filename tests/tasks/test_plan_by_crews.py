"""Plans over crews from what the register holds: their hours, each site's own days, what is booked."""

from collections.abc import Sequence
from datetime import date, timedelta

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import BookedVisit, Crew, DistrictTravel
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.schedule.crew_plans import CrewPlan
from appreg.tasks.planning.plan_visits import EstatePlan, PlanWishes, every_site_by_itself, plan_visits
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

MINUTES = 60
CREW = Uid("0" * 25 + "1")


def more_sites(here: WorkedSite, count: int, **facts: object) -> list[Site]:
    """Sites with two kettles each, all inspected on one day."""
    visit = here.visit(date(2026, 6, 24))
    sites = []
    for number in range(count):
        site = add_site(
            here.register,
            WHO,
            client=here.client.uid,
            name=f"Quay {number}",
            prefix=f"Q{number}",
            environment="low-risk",
        )
        site = change_record(here.register, WHO, replace(site, **facts))
        hall = add_location(here.register, WHO, site=site.uid, name="Hall")
        for _ in range(2):
            kettle = here.kettle()
            here.record(kettle, combined(), visit)
            change_record(here.register, WHO, replace(here.again(kettle), site=site.uid, location=hall.uid))
        sites.append(site)
    return sites


def kept(here: WorkedSite, *records: Crew | DistrictTravel | BookedVisit) -> None:
    with here.register.change(WHO) as change:
        for record in records:
            change.put(record)


def crew(**facts: object) -> Crew:
    return replace(Crew(uid=CREW, name="Two of the yard", people=2, minutes_a_day=MINUTES), **facts)


def planned(here: WorkedSite, sites: Sequence[Site], **wishes: object) -> tuple[EstatePlan, CrewPlan]:
    asked = replace(PlanWishes(start=TODAY, years=1), **wishes)
    estate = plan_visits(here.register, trips=[(site.uid,) for site in sites], wishes=asked)
    assert estate.crews is not None
    return estate, estate.crews


def test_the_working_time_of_a_day_holds_for_all_sites_of_the_plan(here: WorkedSite) -> None:
    more_sites(here, 4)
    wishes = PlanWishes(start=TODAY, years=1, capacity_minutes=30)
    estate = plan_visits(here.register, trips=every_site_by_itself(here.register), wishes=wishes)
    minutes: dict[date, int] = {}
    for trip in estate.trips:
        for visit in trip.plan.visits:
            minutes[visit.day] = minutes.get(visit.day, 0) + visit.minutes
    assert minutes
    assert max(minutes.values()) <= 30
    assert all(trip.plan.late == () for trip in estate.trips)


def test_a_plan_in_which_work_that_is_overdue_waits_is_not_said_to_keep_everything(here: WorkedSite) -> None:
    sites = more_sites(here, 4)
    # One person a day: of four sites that are overdue by then three wait.
    wishes = PlanWishes(start=TODAY + timedelta(days=365), years=1, capacity_minutes=500)
    trips = [(site.uid,) for site in sites]
    assert plan_visits(here.register, trips=trips[:1], wishes=wishes).keeps_all
    waits = plan_visits(here.register, trips=trips, wishes=wishes)
    assert sum(len(trip.plan.waiting) for trip in waits.trips) > 0
    assert waits.cost.late_items == 0
    assert not waits.keeps_all


def test_a_crew_goes_on_its_own_days_and_each_site_keeps_its_own(here: WorkedSite) -> None:
    kept(here, crew(days="FREQ=WEEKLY;BYDAY=TU,WE", absent=("2026-12-01..2026-12-31 away",)))
    sites = more_sites(here, 1, access_days="FREQ=WEEKLY;BYDAY=WE,SA", closures=("2027-06-01..2027-06-30 works",))
    _, plan = planned(here, sites, crews=(CREW,))
    assert plan.days_out
    assert {out.day.weekday() for out in plan.days_out} == {2}
    assert not any((out.day.year, out.day.month) == (2027, 6) for out in plan.days_out)
    assert not any((out.day.year, out.day.month) == (2026, 12) for out in plan.days_out)
    assert plan.late == ()


def test_sites_of_a_district_are_visited_on_one_day_out(here: WorkedSite) -> None:
    kept(
        here,
        crew(minutes_a_day=240),
        DistrictTravel(uid=Uid("0" * 25 + "2"), district="harbour", other="harbour", minutes=7),
    )
    sites = more_sites(here, 3, district="harbour", travel_minutes=20, set_up_minutes=5)
    estate, plan = planned(here, sites, crews=(CREW,))
    assert {(len(out.visits), out.travel_minutes) for out in plan.days_out} == {(3, 54)}
    assert [len(trip.plan.visits) for trip in estate.trips] == [len(plan.days_out)] * 3


def test_a_booked_visit_is_planned_round(here: WorkedSite) -> None:
    (site,) = more_sites(here, 1)
    day = TODAY + timedelta(days=9)
    kept(here, crew(), BookedVisit(uid=Uid("0" * 25 + "3"), site=site.uid, day=day, crew=CREW, confirmed=True))
    _, plan = planned(here, [site], crews=(CREW,))
    assert next((out.day, out.visits[0].is_booked) for out in plan.days_out) == (day, True)


def test_a_site_or_crew_without_any_day_is_named(here: WorkedSite) -> None:
    kept(here, crew(absent=("2026-01-01..2028-12-31 gone",)))
    with pytest.raises(InputRefused, match="Two of the yard does not work on any day"):
        planned(here, [here.site], crews=(CREW,))
    (shut,) = more_sites(here, 1, closures=("2026-01-01..2028-12-31 shut",))
    with pytest.raises(InputRefused, match="Quay 0 lets nobody in"):
        planned(here, [shut], capacity_minutes=60)
