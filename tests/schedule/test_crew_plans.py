"""Plans by crews: nothing late that could be in time, oldest first, hours kept, and better the longer they are searched."""

from datetime import date, timedelta

import pytest
from msgspec.structs import replace

from appreg.core.values.periods import Period
from appreg.errors import InputRefused
from appreg.schedule.crew_planning import plan_crews
from appreg.schedule.crew_plans import CrewPlan
from appreg.schedule.crew_terms import CrewTerms, FixedVisit, PlanCrew, PlanSite
from appreg.schedule.crew_visits import visits_to
from appreg.schedule.plan_items import LineKind, PlanItem, PlanLine
from tests.outside.crew_reference import crowded_estate
from tests.schedule.crew_walk import faults

START = date(2026, 11, 30)
END = date(2027, 11, 29)
MONDAYS = [START + timedelta(days=ahead) for ahead in range(0, 365, 7)]


def a_site(key: str, *dues: date | None, minutes: int = 60, months: int = 12, **facts: object) -> PlanSite:
    items = tuple(
        PlanItem(
            key=f"{key}{number}", visual=None, test=PlanLine(due=due, period=Period(months=months), minutes=minutes)
        )
        for number, due in enumerate(dues)
    )
    return replace(PlanSite(key=key, items=items, allowed=MONDAYS), **facts)


def crews(*minutes: int, people: int = 1, **terms: object) -> CrewTerms:
    gone = tuple(
        PlanCrew(key=f"crew {number}", people=people, minutes=dict.fromkeys(MONDAYS, each))
        for number, each in enumerate(minutes)
    )
    return replace(CrewTerms(start=START, end=END, crews=gone), **terms)


def days_of(plan: CrewPlan) -> list[tuple[date, list[str]]]:
    return [(out.day, [each.key for visit in out.visits for each in visit.inspections]) for out in plan.days_out]


AUGUST = tuple(date(2026, 8, day) for day in (24, 17, 10, 3))


def test_what_is_longest_overdue_is_done_first_and_nothing_due_later_before_it() -> None:
    site = a_site("a", *[date(2026, 12, 27)] * 4, *AUGUST, minutes=100)
    plan = plan_crews([site], crews(200))
    first, second, *rest = days_of(plan)
    assert (first[0], sorted(first[1])) == (MONDAYS[0], ["a6", "a7"])
    assert (second[0], sorted(second[1])) == (MONDAYS[1], ["a4", "a5"])
    assert sorted(key for day, keys in rest if day <= MONDAYS[3] for key in keys) == ["a0", "a1", "a2", "a3"]
    assert plan.late == ()
    assert faults(plan, [site], crews(200)) == []


def test_nothing_that_can_be_in_time_goes_late_for_what_is_overdue_already() -> None:
    # Three Mondays hold six of the eight: the four that fall due then, and the two longest overdue at once.
    site = a_site("a", *[date(2026, 12, 20)] * 4, *AUGUST, minutes=100)
    plan = plan_crews([site], crews(200), effort=0)
    assert (plan.late, plan.hasty, plan.left) == ((), (), {})
    assert days_of(plan)[0] == (MONDAYS[0], ["a6", "a7"])
    assert {(out.day, each.key) for out, _, each in plan.waiting} == {(MONDAYS[3], "a4"), (MONDAYS[3], "a5")}
    assert faults(plan, [site], crews(200)) == []


def test_a_site_has_its_turn_before_something_there_goes_late_though_others_are_longer_overdue() -> None:
    # A Monday holds one site: its two that fall due on the n-th Monday, and four that are overdue, oldest where time is left.
    sites = [
        a_site(f"s{n} ", *[MONDAYS[n]] * 2, *[date(2026, 9 - n, 20)] * 4, set_up_minutes=20, travel_minutes=10)
        for n in range(8)
    ]
    terms = crews(400, tolerance_percent=20)
    plan = plan_crews(sites, terms, effort=4000)
    assert (plan.late, plan.hasty, plan.left) == ((), (), {})
    assert faults(plan, sites, terms) == []


def test_lateness_is_told_from_its_own_due_date() -> None:
    site = a_site("a", date(2026, 8, 3), date(2026, 8, 10), minutes=100)
    plan = plan_crews([site], crews(100))
    ((out, _, late),) = plan.waiting
    assert plan.late == ()
    assert (out.day, late.late_days) == (MONDAYS[1], (MONDAYS[1] - date(2026, 8, 10)).days)
    assert [each.overdue_days for _, _, each in plan.inspections][:2] == [119, 119]


def test_what_is_overdue_anyway_waits_for_the_next_day_out_unless_it_has_waited_long() -> None:
    # A Monday holds two of the three; the next day out is on 1 February, for what may be done then alone.
    terms = crews(200, tolerance_percent=0)
    due = (date(2026, 11, 23), date(2026, 11, 23), date(2026, 11, 23), date(2027, 2, 1))
    plan = plan_crews([a_site("a", *due, minutes=100)], terms)
    assert [out.day for out in plan.days_out] == [MONDAYS[0], date(2027, 2, 1)]
    assert (len(plan.waiting), plan.late, plan.late_items) == (1, (), 0)
    plan = plan_crews([a_site("a", *[date(2026, 5, 4)] * 3, due[-1], minutes=100)], terms)
    assert [out.day for out in plan.days_out] == [MONDAYS[0], MONDAYS[1], date(2027, 2, 1)]


def test_many_that_are_overdue_get_their_days_out_one_after_another() -> None:
    site = a_site("a", *[date(2026, 11, 2)] * 40, date(2027, 9, 6), minutes=40)
    terms = crews(400, tolerance_percent=0)
    plan = plan_crews([site], terms)
    assert [out.day for out in plan.days_out] == [*MONDAYS[:4], date(2027, 9, 6)]
    assert plan.late_items == 0
    assert faults(plan, [site], terms) == []


def test_where_a_plan_without_lateness_exists_nothing_is_late() -> None:
    # Two Mondays hold everything: what falls due in spring must not take the room of what falls due in December.
    december, april = date(2026, 12, 8), date(2027, 3, 1)
    site = a_site("a", april, april, april, december, december, december, december, minutes=100)
    plan = plan_crews([site], crews(200))
    assert plan.late == plan.hasty == ()
    assert not plan.left
    assert faults(plan, [site], crews(200)) == []


def test_a_test_takes_the_place_of_what_was_only_looked_at_where_no_later_day_keeps_it_in_time() -> None:
    # The second Monday is full. On the first, one crew has time left to look at the item, and only the other to test it.
    first, second = MONDAYS[:2]
    full = (("full first", first, Period(months=12)), ("full then", second, Period(days=8)))
    items = [
        *(PlanItem(key=key, visual=None, test=PlanLine(due=due, period=each, minutes=90)) for key, due, each in full),
        PlanItem(
            key="last",
            visual=PlanLine(due=second, period=Period(months=6), minutes=5),
            test=PlanLine(due=second, period=Period(months=24), minutes=50),
        ),
    ]
    site = PlanSite(key="a", items=tuple(items), allowed=MONDAYS)
    gone = (
        PlanCrew(key="one", people=1, minutes={first: 100, second: 100}),
        PlanCrew(key="two", people=1, minutes={first: 100}),
    )
    plan = plan_crews([site], CrewTerms(start=START, end=second, crews=gone), effort=2000)
    assert plan.late_items == 0
    assert sorted(days_of(plan)) == [(first, ["full first"]), (first, ["last"]), (second, ["full then"])]


def test_nothing_is_done_before_its_tolerance_where_going_sooner_the_time_before_spares_it() -> None:
    # Looked at on its last day, 1 March, it would be due on 1 June, and the site is closed all the three weeks before.
    closed = (date(2027, 5, 3), date(2027, 6, 27))
    look = PlanItem(key="a0", test=None, visual=PlanLine(due=MONDAYS[13], period=Period(months=3), minutes=5))
    open_days = [day for day in MONDAYS if not closed[0] <= day <= closed[1]]
    site = PlanSite(key="a", items=(look,), allowed=open_days)
    for effort in (0, 2000):
        plan = plan_crews([site], crews(240), effort=effort)
        assert (plan.hasty, plan.late) == ((), ())
        assert len(plan.days_out) == plan.bound == 4
        assert faults(plan, [site], crews(240)) == []


def test_a_day_out_more_is_made_for_what_would_be_before_its_tolerance() -> None:
    # The neighbour lets nobody in but on 1 March; looked at on that day too, the item is due when its site is closed.
    march = MONDAYS[13]
    look = PlanItem(key="look", test=None, visual=PlanLine(due=march, period=Period(months=3), minutes=5))
    open_days = [day for day in MONDAYS if not date(2027, 5, 23) <= day <= date(2027, 6, 27)]
    sites = [
        PlanSite(key="a", items=(look,), allowed=open_days, district="harbour"),
        a_site("b", march, allowed=[march], district="harbour"),
    ]
    terms = crews(240, tolerance_percent=10, end=date(2027, 6, 1))
    plan = plan_crews(sites, terms)
    assert (plan.hasty, plan.late) == ((), ())
    assert [out.day for out in plan.days_out] == [MONDAYS[12], march, date(2027, 5, 17)]
    assert faults(plan, sites, terms) == []


def test_the_hours_of_a_day_hold_for_all_sites_together() -> None:
    sites = [a_site(f"s{number} ", date(2027, 6, 14), minutes=200) for number in range(12)]
    terms = crews(240)
    plan = plan_crews(sites, terms)
    assert max(len(out.visits) for out in plan.days_out) == 1
    assert len({out.day for out in plan.days_out}) == 12
    assert plan.late == ()
    assert faults(plan, sites, terms) == []


def test_sites_of_a_district_share_a_day_and_the_way_between_them_is_counted() -> None:
    sites = [
        a_site(f"s{number} ", date(2027, 6, 14), set_up_minutes=10, travel_minutes=30, district="harbour")
        for number in range(4)
    ]
    terms = crews(180, people=2, within_district={"harbour": 15})
    plan = plan_crews(sites, terms)
    # Two people: 360 minutes; two sites take 2 x (60 + 15 + 20) + 120 = 310, three would take 440.
    assert [(len(out.visits), out.travel_minutes, out.minutes) for out in plan.days_out] == [(2, 75, 310)] * 2
    assert plan.bound <= 2
    assert faults(plan, sites, terms) == []
    apart = [replace(site, district="") for site in sites]
    assert len(plan_crews(apart, terms).days_out) == 4


def test_a_second_person_doubles_what_a_day_holds() -> None:
    site = a_site("a", *[date(2027, 6, 14)] * 8)
    assert len(plan_crews([site], crews(240)).days_out) == 2
    assert len(plan_crews([site], crews(240, people=2)).days_out) == 1


def test_a_promised_visit_stays_and_takes_the_items_it_names() -> None:
    promised = FixedVisit(site="a", day=MONDAYS[10], crew="crew 0", items=frozenset({"a1"}))
    site = a_site("a", date(2027, 10, 4), date(2027, 10, 4))
    terms = crews(240, booked=(promised,))
    plan = plan_crews([site], terms)
    assert (MONDAYS[10], ["a1"]) in days_of(plan)
    assert [visit.is_booked for out, visit in plan.visits if out.day == MONDAYS[10]] == [True]
    assert faults(plan, [site], terms) == []
    someday = crews(240, booked=(replace(promised, items=None, crew=None, day=START + timedelta(days=2)),))
    assert START + timedelta(days=2) in {out.day for out in plan_crews([site], someday).days_out}


@pytest.mark.parametrize("due", [date(2027, 10, 4), END + timedelta(days=40), None])
def test_an_item_that_is_only_looked_at_is_looked_at_on_the_day_promised(due: date | None) -> None:
    look = PlanItem(key="a0", visual=PlanLine(due=due, period=Period(months=12), minutes=5), test=None)
    site = PlanSite(key="a", items=(look,), allowed=MONDAYS)
    terms = crews(240, booked=(FixedVisit(site="a", day=MONDAYS[10], items=frozenset({"a0"})),))
    plan = plan_crews([site], terms)
    made = [(out.day, each.kind) for out, _, each in plan.inspections]
    assert (MONDAYS[10], LineKind.VISUAL) in made
    assert {kind for _, kind in made} == {LineKind.VISUAL}
    assert faults(plan, [site], terms) == []


def test_a_plan_in_which_two_crews_go_together_has_no_fewer_visits_than_any_bound() -> None:
    # Four days out: one crew a day makes four visits, two together make two.
    site, terms = a_site("a", *[date(2027, 6, 14)] * 4), crews(60, 60)
    days = [day for day in MONDAYS if day <= date(2027, 6, 14)][-4:]
    apart, together = (
        plan_crews([replace(site, allowed=allowed)], replace(terms, crews=gone))
        for allowed, gone in ((days, terms.crews[:1]), (days[-2:], terms.crews))
    )
    assert [len(visits_to(each, "a").visits) for each in (apart, together)] == [4, 2]
    assert apart.site_bounds == together.site_bounds == {"a": 4}
    # The plan of one crew holds among those of two as well, so that what is told of it must be true of both.
    assert visits_to(apart, "a", crews=2).bound == visits_to(together, "a", crews=2).bound == 2
    assert visits_to(apart, "a").bound == 4


def test_preferred_days_are_taken_where_they_cost_no_day_more() -> None:
    wanted = frozenset(MONDAYS[20:23])
    site = a_site("a", date(2027, 6, 14), date(2027, 5, 31), preferred=wanted)
    plan = plan_crews([site], crews(240))
    assert len(plan.days_out) == 1
    assert plan.days_out[0].day in wanted


def test_an_inspection_longer_than_a_day_is_done_alone_and_told() -> None:
    site = a_site("a", date(2027, 6, 14), date(2027, 6, 14), minutes=500)
    plan = plan_crews([site], crews(480))
    assert [(out.is_over, len(out.visits[0].inspections)) for out in plan.days_out] == [(True, 1), (True, 1)]


def test_a_crew_without_hours_or_a_plan_without_crews_is_told() -> None:
    with pytest.raises(InputRefused, match="needs a crew"):
        crews()
    with pytest.raises(InputRefused, match="give 1 to 99"):
        crews(100, people=0)
    idle = replace(crews(100), crews=(PlanCrew(key="idle", people=1, minutes={}),))
    plan = plan_crews([a_site("a", date(2027, 6, 14))], idle)
    assert plan.days_out == ()
    assert [each.key for each in plan.left["a"]] == ["a0"]


def test_what_falls_due_where_no_crew_works_on_any_day_is_told_as_left() -> None:
    saturdays = [day + timedelta(days=5) for day in MONDAYS]
    shut = a_site("shut ", date(2026, 6, 1), None, date(2027, 6, 14), END + timedelta(days=1), allowed=saturdays)
    plan = plan_crews([a_site("open ", date(2027, 6, 14)), shut], crews(240))
    assert [each.key for each in plan.left["shut "]] == ["shut 0", "shut 1", "shut 2"]
    assert (plan.late_items, [out.day for out in plan.days_out]) == (3, [date(2027, 6, 14)])
    assert set(plan.left) == {"shut "}


@pytest.mark.parametrize("seed", range(12))
def test_a_walk_of_every_item_finds_every_rule_kept(seed: int) -> None:
    sites, terms = crowded_estate(seed)
    plan = plan_crews(sites, terms, effort=500)
    assert faults(plan, sites, terms) == []
    assert plan.bound <= len(plan.days_out)


def test_a_day_on_which_nothing_is_left_to_do_is_no_day_out_wherever_the_search_ends() -> None:
    sites, terms = crowded_estate(17)
    assert faults(plan_crews(sites, terms, effort=3000), sites, terms) == []


def test_the_walk_finds_what_is_wrong() -> None:
    sites, terms = crowded_estate(0)
    plan = plan_crews(sites, terms, effort=0)
    first, *rest = plan.days_out
    assert faults(replace(plan, days_out=tuple(rest)), sites, terms)
    assert faults(replace(plan, days_out=(first, first, *rest)), sites, terms)
    tomorrow = replace(first, day=first.day + timedelta(days=1))
    assert faults(replace(plan, days_out=(tomorrow, *rest)), sites, terms)
    assert faults(replace(plan, days_out=(*plan.days_out, replace(first, day=END, visits=()))), sites, terms)
    slow = replace(terms, crews=tuple(replace(crew, minutes=dict.fromkeys(crew.minutes, 20)) for crew in terms.crews))
    assert faults(plan, sites, slow)


def test_the_same_effort_gives_the_same_plan_and_more_never_a_worse_one() -> None:
    sites, terms = crowded_estate(25)
    plans = [plan_crews(sites, terms, effort=effort) for effort in (0, 1000, 2000, 4000, 4000)]
    assert plans[-1] == plans[-2]
    assert not any(plan.waiting for plan in plans)
    ranks = [(plan.late_items, len(plan.days_out), sum(1 for _ in plan.visits)) for plan in plans]
    assert ranks == sorted(ranks, reverse=True)
    assert ranks[-1] < ranks[0]


def test_a_search_that_is_stopped_gives_the_best_plan_until_then() -> None:
    sites, terms = crowded_estate(20)
    told: list[tuple[int, int]] = []

    def go_on(done: int, whole: int) -> bool:
        told.append((done, whole))
        return len(told) < 3

    plan = plan_crews(sites, terms, effort=3000, go_on=go_on)
    assert len(told) == 3
    assert not plan.is_whole
    assert plan.days_out
    assert faults(plan, sites, terms) == []
