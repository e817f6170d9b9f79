"""A plan as it stands: followed through the days that somebody chose, in the words of what is late, early and spent."""

from datetime import date

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.tasks.planning.book_visit import book_visit
from appreg.tasks.planning.change_plan import move_kept_visit
from appreg.tasks.planning.keep_plan import days_of, keep_plan, load_plan
from appreg.tasks.planning.live_plan import LivePlan, gather_ground, live_plan, planned_days
from appreg.tasks.planning.plan_visits import PlanWishes, plan_visits, trips_wished
from appreg.tasks.records.add_site import add_site
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

WISHES = PlanWishes(start=TODAY, years=2)


@pytest.fixture
def busy(here: WorkedSite) -> WorkedSite:
    """Six kettles, three inspected in June and three in October."""
    for month in (6, 10):
        visit = here.visit(date(2026, month, 24))
        for _ in range(3):
            here.record(here.kettle(), combined(), visit)
    return here


def planned(here: WorkedSite, wishes: PlanWishes, *, today: date = TODAY) -> LivePlan:
    estate = plan_visits(here.register, trips=trips_wished(here.register, wishes), wishes=wishes)
    return live_plan(here.register, gather_ground(here.register, wishes, today=today), days=days_of(estate))


def crew_of(here: WorkedSite, *, people: int = 1, minutes: int = 60) -> Crew:
    with here.register.change(WHO) as change:
        crew = Crew(uid=change.new_uid(), name="North", people=people, minutes_a_day=minutes)
        change.put(crew)
    return crew


@pytest.mark.parametrize("capacity", [None, 30])
def test_a_plan_just_made_is_followed_as_it_was_planned(busy: WorkedSite, capacity: int | None) -> None:
    wishes = replace(WISHES, capacity_minutes=capacity)
    (trip,) = plan_visits(busy.register, trips=[(busy.site.uid,)], wishes=wishes).trips
    plan = planned(busy, wishes)
    assert [(each.day, each.minutes) for each in plan.visits] == [(v.day, v.minutes) for v in trip.plan.visits]
    assert plan.late == () == plan.hasty
    assert plan.trips[0].plan.visits == trip.plan.visits


def test_a_plan_that_has_ended_is_told_by_its_own_last_day(busy: WorkedSite) -> None:
    last = date(2028, 11, 23)
    assert gather_ground(busy.register, WISHES, today=last).trips
    with pytest.raises(InputRefused, match="The plan ended on 23 Nov 2028; plan anew from today"):
        gather_ground(busy.register, WISHES, today=date(2028, 11, 24))


def test_what_is_due_is_left_on_the_last_days_of_a_plan_that_has_no_day_to_go_any_more(busy: WorkedSite) -> None:
    saturday, sunday = date(2029, 11, 24), date(2029, 11, 25)
    wishes = replace(WISHES, start=date(2028, 11, 26), years=1)
    plan = live_plan(busy.register, gather_ground(busy.register, wishes, today=saturday))
    assert plan.ground.trips[busy.site.uid].terms.end == sunday
    assert len({row.appliance.uid for row in plan.late}) == len(plan.ground.trips[busy.site.uid].items) == 6


def test_crews_are_kept_with_each_visit_and_a_moved_one_is_late_by_its_own_due_date(busy: WorkedSite) -> None:
    crew = crew_of(busy)
    wishes = replace(WISHES, crews=(crew.uid,))
    plan = planned(busy, wishes)
    assert {each.crew for each in plan.visits} == {crew}
    kept = keep_plan(busy.register, WHO, name="Next year", on=TODAY, wishes=wishes, visits=planned_days(plan))
    loaded = load_plan(busy.register, kept.uid)
    again = live_plan(busy.register, plan.ground, kept=loaded)
    assert [(v.day, v.crew, v.inspections) for v in again.visits] == [
        (v.day, v.crew, v.inspections) for v in plan.visits
    ]
    first = again.visits[0]
    late = date(2027, 11, 3)
    move_kept_visit(busy.register, WHO, Uid(first.key), day=late)
    moved = live_plan(busy.register, plan.ground, kept=load_plan(busy.register, kept.uid), before=again)
    (told,) = {(each.day, getattr(each.planned, "late_days", None)) for each in moved.late}
    # The looks of the kettles inspected in June fall due in December.
    assert told == (date(2027, 4, 23), (date(2027, 4, 23) - date(2026, 12, 24)).days)


def test_two_visits_to_a_site_on_one_day_stay_two(busy: WorkedSite) -> None:
    plan = planned(busy, WISHES)
    kept = keep_plan(busy.register, WHO, name="A", on=TODAY, wishes=WISHES, visits=planned_days(plan))
    first, second, *_ = load_plan(busy.register, kept.uid).visits
    move_kept_visit(busy.register, WHO, second.uid, day=first.day)
    moved = live_plan(busy.register, plan.ground, kept=load_plan(busy.register, kept.uid))
    assert len(moved.visits) == len(plan.visits)
    assert [each.day for each in moved.visits[:2]] == [first.day, first.day]


def test_a_booked_visit_stays_in_every_later_plan_and_is_shown_where_a_kept_one_lacks_it(busy: WorkedSite) -> None:
    plan = planned(busy, WISHES)
    odd = date(2027, 2, 16)
    assert odd not in {each.day for each in plan.visits}
    booked = book_visit(busy.register, WHO, site=busy.site.uid, day=odd, person=busy.person.uid, confirmed=True)
    kept = live_plan(busy.register, plan.ground, days=planned_days(plan))
    (alone,) = [each for each in kept.visits if not each.is_kept]
    assert (alone.booked, alone.day) == (booked, odd)
    for wishes in (WISHES, replace(WISHES, capacity_minutes=300), replace(WISHES, crews=(crew_of(busy).uid,))):
        later = planned(busy, wishes)
        assert [each.booked for each in later.visits if each.day == odd] == [booked]


def test_days_out_minutes_and_visits_are_told_against_whenever_due(busy: WorkedSite) -> None:
    with busy.register.change(WHO) as change:
        change.put(replace(busy.site, travel_minutes=45, set_up_minutes=10, district="north"))
    near = add_site(busy.register, WHO, client=busy.client.uid, name="Near", prefix="NE", environment="low-risk")
    with busy.register.change(WHO) as change:
        change.put(replace(busy.register.get(Site, near.uid), travel_minutes=45, district="north"))
    crew = crew_of(busy, people=2, minutes=240)
    plan = planned(busy, replace(WISHES, crews=(crew.uid,)))
    cost, due = plan.cost, plan.when_due
    work = sum(each.minutes for each in plan.visits)
    assert cost.days_out == len(plan.days_out)
    assert cost.minutes == work + cost.days_out * 2 * (2 * 45 + 10)
    assert due.days_out >= cost.days_out
    assert due.minutes > cost.minutes


def test_only_the_sites_that_are_wished_for_are_planned(busy: WorkedSite) -> None:
    other = add_site(busy.register, WHO, client=busy.client.uid, name="Other", prefix="OT", environment="low-risk")
    assert trips_wished(busy.register, WISHES) == ((busy.site.uid,), (other.uid,))
    assert trips_wished(busy.register, replace(WISHES, sites=(other.uid,))) == ((other.uid,),)


def test_what_is_past_is_told_by_the_register_and_not_by_the_plan(busy: WorkedSite) -> None:
    plan = planned(busy, WISHES)
    kept = keep_plan(busy.register, WHO, name="A", on=TODAY, wishes=WISHES, visits=planned_days(plan))
    later = plan.visits[0].day.replace(day=28)
    assert later > plan.visits[0].day
    ground = gather_ground(busy.register, WISHES, today=later)
    stale = live_plan(busy.register, ground, kept=load_plan(busy.register, kept.uid))
    assert stale.past == 1
    assert len(stale.visits) == len(plan.visits) - 1


def test_a_visit_booked_with_a_crew_that_is_not_planned_for_takes_no_other_crew_s_day(busy: WorkedSite) -> None:
    away, own = crew_of(busy), crew_of(busy)
    day = date(2026, 12, 1)
    booked = book_visit(busy.register, WHO, site=busy.site.uid, day=day, crew=away.uid)
    plan = planned(busy, replace(WISHES, crews=(own.uid,)))
    assert [each.crew for each in plan.visits if each.booked == booked] == [away]
    assert not any(out.day == day and out.crew == own.uid for out in plan.days_out)
