"""Plans of visits from what the register holds: what is planned, what it is held against, and what is supposed."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import CalendarEntry
from appreg.core.records.work_records import IntervalKind, OverrideScope
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.progress import Stopped
from appreg.schedule.interval_overrides import Signature
from appreg.schedule.plan_items import LineKind
from appreg.schedule.visiting_days import Closure
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.planning.override_interval import override_interval
from appreg.tasks.planning.plan_visits import PlanWishes, TripPlan, every_site_by_itself, plan_visits
from appreg.tasks.planning.what_if import WhatIf, what_if
from appreg.tasks.planning.what_stays import Supposition
from appreg.tasks.planning.write_calendar import write_calendar
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

DAILY = "FREQ=DAILY"
WRITTEN = datetime(2026, 11, 24, 9, 0, tzinfo=UTC)


def planned(here: WorkedSite, *sites: Site, **wishes: object) -> TripPlan:
    asked = PlanWishes(start=TODAY, **{"days": DAILY, **wishes})  # type: ignore[arg-type]
    (trip,) = plan_visits(here.register, trips=[tuple(site.uid for site in sites or (here.site,))], wishes=asked).trips
    return trip


def test_a_kettle_due_in_a_month_is_planned_for_three_years(here: WorkedSite) -> None:
    # HSG107, Class I: look every 6 months, test every year; both due from 24 June 2026.
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    trip = planned(here)
    assert [(visit.day, [each.kind for each in visit.inspections]) for visit in trip.plan.visits] == [
        (date(2026, 12, 24), [LineKind.VISUAL]),
        (date(2027, 6, 24), [LineKind.TEST]),
        (date(2027, 12, 24), [LineKind.VISUAL]),
        (date(2028, 6, 24), [LineKind.TEST]),
        (date(2028, 12, 24), [LineKind.VISUAL]),
        (date(2029, 6, 24), [LineKind.TEST]),
    ]
    assert trip.plan.bound == 6
    assert trip.when_due == trip.cost
    assert (trip.yearly.visits, trip.yearly.late_items) == (3, 1)


def test_nothing_planned_is_overdue_on_its_day_and_closed_days_are_kept(here: WorkedSite) -> None:
    for month in (2, 5, 8, 11):
        here.record(here.kettle(), combined(), here.visit(date(2026, month, 10)))
    closure = Closure(first=date(2027, 5, 1), last=date(2027, 5, 31))
    trip = planned(
        here,
        days="FREQ=WEEKLY;BYDAY=TU,TH",
        closures=(closure, Closure(first=date(2026, 12, 1), last=date(2026, 12, 1))),
    )
    days = [visit.day for visit in trip.plan.visits]
    assert all(day.weekday() in {1, 3} for day in days)
    assert not any(closure.first <= day <= closure.last for day in days)
    assert date(2026, 12, 1) not in days
    assert trip.plan.late == ()
    assert trip.plan.left == ()
    assert trip.cost.visits <= trip.when_due.visits


def test_minutes_are_those_of_the_checks_the_item_needs(here: WorkedSite) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    trip = planned(here)
    (item,) = trip.items
    assert item.visual is not None
    assert item.test is not None
    minutes = PlanWishes(start=TODAY).minutes
    assert item.visual.minutes == minutes.item + minutes.checks[Check.VISUAL]
    # Class I: visual, earth continuity, insulation, functional.
    needed = (Check.VISUAL, Check.EARTH_CONTINUITY, Check.INSULATION, Check.FUNCTIONAL)
    assert item.test.minutes == minutes.of(needed)


def test_items_out_of_service_or_asked_for_nothing_are_not_planned(here: WorkedSite) -> None:
    lost, battery, kept = here.kettle(), here.kettle(), here.kettle()
    set_service_state(here.register, WHO, appliance=lost.uid, state=ServiceState.MISSING)
    change_record(here.register, WHO, replace(battery, battery=True))
    trip = planned(here)
    assert [item.key for item in trip.items] == [kept.uid]
    assert trip.plan.visits[0].day == TODAY
    assert trip.plan.visits[0].inspections[0].due is None


def test_a_statute_asks_for_a_test_where_the_table_asks_for_none(tmp_path: Path) -> None:
    with worked_site(tmp_path, landlord_profile="gb-scotland-private") as here:
        lamp = change_record(here.register, WHO, replace(here.kettle(), appliance_class=ApplianceClass.CLASS_II))
        here.record(lamp, combined(earth=""), here.visit(date(2026, 6, 24)))
        (item,) = planned(here).items
    assert item.test is not None
    assert (item.test.due, item.test.period.months) == (date(2031, 6, 24), 60)


def test_several_sites_on_one_trip_share_their_days(here: WorkedSite) -> None:
    other = add_site(here.register, WHO, client=here.client.uid, name="Two", prefix="TW", environment="low-risk")
    hall = add_location(here.register, WHO, site=other.uid, name="Hall")
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    moved = here.kettle()
    here.record(moved, combined(), here.visit(date(2026, 6, 30)))
    change_record(here.register, WHO, replace(here.again(moved), site=other.uid, location=hall.uid))
    together = planned(here, here.site, other)
    estate = plan_visits(
        here.register, trips=every_site_by_itself(here.register), wishes=PlanWishes(start=TODAY, days=DAILY)
    )
    assert together.cost.visits == 6
    assert [trip.sites[0].name for trip in estate.trips] == ["Harbour Row", "Two"]
    assert (estate.cost.visits, estate.bound, estate.gap_percent) == (12, 12, 0)


def test_planning_can_be_stopped_between_trips(here: WorkedSite) -> None:
    told: list[tuple[int, int]] = []

    def progress(done: int, total: int) -> bool:
        told.append((done, total))
        return done < 1

    with pytest.raises(Stopped, match="stopped after 1 of 2"):
        plan_visits(
            here.register,
            trips=[(here.site.uid,), (here.site.uid,)],
            wishes=PlanWishes(start=TODAY),
            progress=progress,
        )
    assert told == [(0, 2), (1, 2)]


@pytest.mark.parametrize(
    ("wishes", "sentence"),
    [
        ({"years": 0}, "give 1 to 20"),
        ({"years": 21}, "give 1 to 20"),
        ({"tolerance_percent": 100}, "tolerance of 100 %"),
        ({"capacity_minutes": 0}, "longer than 0 minutes"),
        ({"days": "FREQ=TUESDAYS"}, "not a rule for days"),
        ({"days": "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30"}, "No day from 24 Nov 2026 to 23 Nov 2029 is left to go"),
    ],
)
def test_wishes_that_cannot_be_kept_are_refused(here: WorkedSite, wishes: dict[str, object], sentence: str) -> None:
    with pytest.raises(InputRefused, match=sentence):
        planned(here, **wishes)


def test_an_unknown_site_is_not_planned(here: WorkedSite) -> None:
    with pytest.raises(NotFound):
        plan_visits(here.register, trips=[(Uid("0" * 26),)], wishes=PlanWishes(start=TODAY))


def test_what_if_shows_both_sides_and_saves_nothing(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2026, 6, 24)))
    before = (list_due(here.register, today=TODAY), here.again(kettle))
    compared = what_if(
        here.register,
        trips=[[here.site.uid]],
        wishes=PlanWishes(start=TODAY, days=DAILY),
        supposition=Supposition(environment="public"),
        today=TODAY,
    )
    # Used by the public, HSG107: look every 3 months, so overdue since 24 September.
    assert (compared.before.counts.overdue, compared.before.counts.due_soon) == (0, 1)
    assert (compared.after.counts.overdue, compared.after.counts.due_soon) == (1, 0)
    assert compared.before.plan.cost.visits == 6
    assert compared.after.plan.cost.visits == 12
    assert (list_due(here.register, today=TODAY), here.again(kettle)) == before
    assert verify_register(here.register) == ()


def test_what_if_takes_tolerances_tables_and_intervals(here: WorkedSite) -> None:
    for day in (1, 24):
        here.record(here.kettle(), combined(), here.visit(date(2026, 10, day)))

    def visits(**supposed: object) -> tuple[int, int]:
        compared = what_if(
            here.register,
            trips=[[here.site.uid]],
            wishes=PlanWishes(start=TODAY, days=DAILY),
            supposition=Supposition(**supposed),  # type: ignore[arg-type]
            today=TODAY,
        )
        return compared.before.plan.cost.visits, compared.after.plan.cost.visits

    assert visits(tolerance_percent=0) == (6, 12)
    assert visits(intervals={IntervalKind.VISUAL: "P2Y", IntervalKind.TEST: "P2Y"}) == (6, 1)
    before, after = visits(interval_table="premises-2007", environment="hotels-offices-shops")
    assert before != after
    with pytest.raises(InputRefused, match="Nothing is supposed"):
        visits()
    with pytest.raises(InputRefused, match="no environment “moon”"):
        visits(environment="moon")


def test_what_if_takes_a_site_that_is_named_twice_once(here: WorkedSite) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    supposition = Supposition(environment="public", intervals={IntervalKind.VISUAL: "P2M"})
    once, twice = (
        what_if(
            here.register,
            trips=[trip],
            wishes=PlanWishes(start=TODAY, days=DAILY),
            supposition=supposition,
            today=TODAY,
        )
        for trip in ([here.site.uid], [here.site.uid, here.site.uid])
    )
    assert [side.counts for side in (twice.before, twice.after)] == [side.counts for side in (once.before, once.after)]
    assert (twice.before.plan, twice.after.plan) == (once.before.plan, once.after.plan)


def test_what_if_over_several_sites_and_locations_says_what_it_leaves_alone(here: WorkedSite) -> None:
    yard = add_location(here.register, WHO, site=here.site.uid, name="Yard", environment="public")
    other = add_site(here.register, WHO, client=here.client.uid, name="Quay", prefix="QU", environment="low-risk")
    add_site(here.register, WHO, client=here.client.uid, name="Far", prefix="FA", environment="low-risk")
    visit = here.visit(date(2026, 6, 24))
    kettles = [here.kettle() for _ in range(2)]
    for kettle in kettles:
        here.record(kettle, combined(), visit)
    override_interval(
        here.register, WHO, scope=OverrideScope.APPLIANCE, target=kettles[0].uid, what=IntervalKind.VISUAL,
        period="P1M", reason="wet", on=TODAY,
    )  # fmt: skip

    def compared(**supposed: object) -> WhatIf:
        return what_if(
            here.register,
            trips=[[here.site.uid], [other.uid]],
            wishes=PlanWishes(start=TODAY, days=DAILY),
            supposition=Supposition(**supposed),  # type: ignore[arg-type]
            today=TODAY,
        )

    assert compared(environment="public").left_alone == (
        "1 other site as it is",
        "1 location with an environment of its own: Yard",
        "1 item with an interval of its own: HR-001",
    )
    kitchen = compared(environment="public", locations=(here.kitchen.uid,))
    assert kitchen.left_alone[1] == "1 other location: Yard"
    assert kitchen.before.plan != kitchen.after.plan
    only_yard = compared(environment="low-risk", locations=(yard.uid,))
    assert only_yard.before.plan == only_yard.after.plan
    with pytest.raises(InputRefused, match="whole site"):
        compared(interval_table="premises-2007", locations=(yard.uid,))


def test_an_override_kept_counts_in_the_plan(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2026, 6, 24)))
    override_interval(
        here.register,
        WHO,
        scope=OverrideScope.APPLIANCE,
        target=kettle.uid,
        what=IntervalKind.VISUAL,
        period="P2Y",
        reason="little used",
        on=TODAY,
        signature=Signature(by="N. Holder", on=TODAY),
    )
    assert planned(here).cost.visits == 3


def test_a_calendar_that_cannot_be_written_is_refused(here: WorkedSite, tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match="There is no folder"):
        write_calendar(
            here.register, WHO, trips=[planned(here)], out=tmp_path / "no" / "p.ics", today=TODAY, written=WRITTEN
        )
    assert here.register.find(CalendarEntry) == []
