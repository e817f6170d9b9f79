"""What holds for every plan: nothing reachable goes overdue, days are allowed ones, and its own figures add up."""

from collections.abc import Iterable
from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.values.periods import Period, parse_period
from appreg.errors import InputRefused
from appreg.schedule.plan_items import LineKind, PlanItem, PlanLine, tolerance_days
from appreg.schedule.plan_telling import ItemCourse, VisitPlan, plan_of_courses
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_following import Follower
from appreg.schedule.visit_plans import board_for, plan_visits

START = date(2026, 11, 24)
END = date(2028, 11, 24)
DAYS = [START + timedelta(days=ahead) for ahead in range(0, (END - START).days + 1, 7)]
TERMS = PlanTerms(start=START, end=END, allowed=DAYS)
PERIODS = st.sampled_from([parse_period(text) for text in ("P1M", "P3M", "P6M", "P1Y", "P2Y")])
LINES = st.builds(
    PlanLine,
    due=st.none() | st.dates(date(2026, 6, 1), date(2029, 6, 1)),
    period=PERIODS,
    minutes=st.integers(1, 60),
)
SITES = st.lists(st.tuples(st.none() | LINES, st.none() | LINES), min_size=1, max_size=8).map(
    lambda pairs: [PlanItem(key=str(n), visual=visual, test=test) for n, (visual, test) in enumerate(pairs)]
)
PLANNING = settings(max_examples=40, deadline=None)


def an_item(due: date | None, months: int = 12, minutes: int = 10, key: str = "a") -> PlanItem:
    return PlanItem(key=key, visual=None, test=PlanLine(due=due, period=Period(months=months), minutes=minutes))


@PLANNING
@given(SITES)
def test_nothing_that_could_be_reached_goes_overdue(items: list[PlanItem]) -> None:
    plan = plan_visits(items, TERMS)
    assert plan.late == ()
    assert plan.left == ()
    assert plan.late_items == 0
    assert {visit.day for visit in plan.visits} <= set(DAYS)
    assert plan.bound <= len(plan.visits)


@PLANNING
@given(SITES)
def test_every_inspection_follows_the_one_before_it_within_its_interval(items: list[PlanItem]) -> None:
    plan = plan_visits(items, TERMS)
    for item in items:
        due = {kind: line.due or START for kind, line in item.lines.items()}
        for day, kind, early in courses(plan, item.key):
            line = item.lines[kind]
            assert due[kind] >= day or due[kind] < START
            assert early == max(0, (due[kind] - day).days) or due[kind] == START
            assert early <= tolerance_days(line.period, TERMS.tolerance_percent) or no_day_between(due[kind], line)
            for each in item.lines if kind is LineKind.TEST else (LineKind.VISUAL,):
                due[each] = day + relativedelta(months=item.lines[each].period.months)
        assert all(day > END for day in due.values())


def courses(plan: VisitPlan, key: str) -> list[tuple[date, LineKind, int]]:
    return [(v.day, each.kind, each.early_days) for v in plan.visits for each in v.inspections if each.key == key]


def no_day_between(due: date, line: PlanLine) -> bool:
    earliest = due - timedelta(days=tolerance_days(line.period, TERMS.tolerance_percent))
    return not any(earliest <= day <= due for day in DAYS)


def follow_days(items: Iterable[PlanItem], terms: PlanTerms, days: Iterable[date]) -> VisitPlan:
    """What happens when exactly these days are visited, allowed or not; whatever goes late is told.

    The working time of a day is not kept to: a day asked for is a day as long as its work.
    """
    known = {item.key: item for item in items}
    chosen = {day for day in days if terms.start <= day <= terms.end}
    terms = replace(terms, allowed=sorted(chosen | set(terms.allowed)))
    board = board_for(known.values(), terms)
    numbers = [number for number, day in enumerate(terms.allowed) if day in chosen]
    follower = Follower(board)
    courses = [
        ItemCourse(key, member, list(follower.course(member, numbers).steps))
        for member in board.classes
        for key in member.keys
    ]
    return plan_of_courses(board, known, courses, 0)


def goes_before_tolerance(plan: VisitPlan, items: list[PlanItem]) -> bool:
    lines = {item.key: item.lines for item in items}
    return any(
        each.early_days > tolerance_days(lines[each.key][each.kind].period, TERMS.tolerance_percent)
        for visit in plan.visits
        for each in visit.inspections
    )


@PLANNING
@given(SITES)
def test_going_on_the_planned_days_does_what_the_plan_says(items: list[PlanItem]) -> None:
    plan = plan_visits(items, TERMS)
    followed = follow_days(items, TERMS, [visit.day for visit in plan.visits])
    assert followed.visits == plan.visits
    assert followed.left == ()


@settings(max_examples=12, deadline=None)
@given(SITES, st.integers(30, 120))
def test_days_keep_within_their_working_time_where_they_can(items: list[PlanItem], capacity: int) -> None:
    plan = plan_visits(items, replace(TERMS, capacity_minutes=capacity))
    for visit in plan.visits:
        assert visit.minutes <= capacity or visit.day in plan.over_capacity
    for visit in plan.visits:
        keys = [(each.key, each.kind) for each in visit.inspections]
        assert len(keys) == len(set(keys))
    assert plan.bound <= len(plan.visits) or plan.late or goes_before_tolerance(plan, items)


def test_an_item_is_never_inspected_twice_in_a_day_however_full_the_last_days_are() -> None:
    start = TERMS.start
    items = [an_item(start, months=1, minutes=24, key=str(number)) for number in range(7)]
    plan = plan_visits(items, replace(TERMS, capacity_minutes=36, end=start + timedelta(days=70), allowed=DAYS[:11]))
    for visit in plan.visits:
        assert len({each.key for each in visit.inspections}) == len(visit.inspections)
    assert plan.late


def test_a_long_visit_is_split_over_the_days_before_it_and_nothing_goes_late() -> None:
    items = [an_item(date(2027, 6, 15), key=str(number), minutes=60) for number in range(20)]
    plan = plan_visits(items, replace(TERMS, capacity_minutes=480))
    first = [visit for visit in plan.visits if visit.day <= date(2027, 6, 15)]
    assert [visit.minutes for visit in first] == [240, 480, 480]
    assert first[-1].day == date(2027, 6, 15)
    assert plan.late == ()
    assert plan.over_capacity == ()


def test_an_inspection_longer_than_a_day_is_told_as_over_its_capacity() -> None:
    plan = plan_visits([an_item(date(2027, 6, 15), minutes=500)], replace(TERMS, capacity_minutes=480))
    assert plan.over_capacity == tuple(visit.day for visit in plan.visits)


def test_two_items_within_tolerance_of_each_other_share_their_visits() -> None:
    items = [an_item(date(2027, 3, 2), key="a"), an_item(date(2027, 4, 20), key="b")]
    plan = plan_visits(items, TERMS)
    assert len(plan.visits) == plan.bound == 2
    assert all(len(visit.inspections) == 2 for visit in plan.visits)
    apart = plan_visits(items, replace(TERMS, tolerance_percent=0))
    assert len(apart.visits) == 4


def test_a_never_inspected_and_an_overdue_item_are_seen_on_the_first_day() -> None:
    items = [an_item(None, key="new"), an_item(date(2025, 1, 1), key="old")]
    first = plan_visits(items, TERMS).visits[0]
    assert first.day == START
    assert {(each.key, each.due, each.late_days) for each in first.inspections} == {
        ("new", None, 0),
        ("old", date(2025, 1, 1), 0),
    }


def test_where_no_day_lies_within_the_tolerance_an_item_is_seen_early_rather_than_late() -> None:
    closed = replace(TERMS, allowed=[day for day in DAYS if not date(2027, 1, 1) <= day <= date(2027, 9, 1)])
    plan = plan_visits([an_item(date(2027, 8, 1))], closed)
    assert plan.visits[0].day == date(2026, 12, 29)
    assert plan.visits[0].inspections[0].early_days == 215


def test_where_no_day_lies_before_the_due_date_the_first_after_it_is_taken() -> None:
    late = replace(TERMS, allowed=[day for day in DAYS if day > date(2027, 9, 1)])
    plan = plan_visits([an_item(date(2027, 8, 1))], late)
    assert plan.visits[0].day == late.allowed[0]
    assert plan.late_items == 0


def test_a_visit_left_out_tells_what_goes_late_and_by_how_long() -> None:
    items = [an_item(date(2027, 3, 2), key="a"), an_item(date(2027, 8, 31), months=6, key="b")]
    plan = plan_visits(items, TERMS)
    kept = [visit.day for visit in plan.visits][1:]
    moved = follow_days(items, TERMS, kept)
    assert [(each.key, each.late_days) for _, each in moved.late] == [("a", (kept[0] - date(2027, 3, 2)).days)]
    nothing = follow_days(items, TERMS, [])
    assert {(each.key, each.due) for each in nothing.left} == {("a", date(2027, 3, 2)), ("b", date(2027, 8, 31))}
    assert nothing.late_items == 2


def test_lateness_counts_from_its_own_due_date_also_where_that_lies_before_the_plan() -> None:
    august = date(2026, 8, 4)
    items = [an_item(august)]
    (first, *_) = plan_visits(items, TERMS).visits
    assert [(each.late_days, each.overdue_days) for each in first.inspections] == [(0, (START - august).days)]
    (moved,) = follow_days(items, TERMS, [DAYS[1]]).late
    assert moved[1].late_days == moved[1].overdue_days == (DAYS[1] - august).days


def test_a_full_first_day_does_what_is_overdue_and_not_what_is_not_yet_due() -> None:
    coming = [an_item(date(2026, 12, 20), key=f"coming {n}") for n in range(4)]
    overdue = [an_item(date(2026, 8, 1 + n), key=f"overdue {n}") for n in range(6)]
    plan = plan_visits([*coming, *overdue], replace(TERMS, capacity_minutes=30))
    first, second, *_ = plan.visits
    assert {each.key for each in first.inspections} == {"overdue 0", "overdue 1", "overdue 2"}
    assert {each.key for each in second.inspections} == {"overdue 3", "overdue 4", "overdue 5"}
    assert (second.day, second.inspections[0].late_days) == (DAYS[1], (DAYS[1] - date(2026, 8, 4)).days)


def test_a_visit_may_be_moved_to_a_day_that_is_not_allowed_by_the_rule() -> None:
    sunday = date(2027, 2, 28)
    moved = follow_days([an_item(date(2027, 3, 2))], TERMS, [sunday, date(2028, 2, 22)])
    assert [visit.day for visit in moved.visits] == [sunday, date(2028, 2, 22)]
    assert moved.late == ()


def test_a_test_counts_as_the_visual_inspection_too() -> None:
    item = PlanItem(
        key="a",
        visual=PlanLine(due=date(2027, 3, 2), period=parse_period("P6M"), minutes=2),
        test=PlanLine(due=date(2027, 3, 2), period=parse_period("P1Y"), minutes=8),
    )
    plan = plan_visits([item], TERMS)
    kinds = [each.kind for visit in plan.visits for each in visit.inspections]
    assert kinds == [LineKind.TEST, LineKind.VISUAL, LineKind.TEST, LineKind.VISUAL]
    assert plan.minutes == 20


@pytest.mark.parametrize("days", [[], DAYS[-1:]])
def test_a_site_without_days_or_items_has_an_empty_or_a_late_plan(days: list[date]) -> None:
    terms = replace(TERMS, allowed=days)
    assert plan_visits([], terms).visits == ()
    plan = plan_visits([an_item(date(2027, 3, 2))], terms)
    assert len(plan.visits) == len(days)


def test_the_gap_is_told_in_percent_rounded_up() -> None:
    plan = plan_visits([an_item(date(2027, 3, 2))], TERMS)
    assert plan.gap_percent == 0
    assert replace(plan, bound=1).gap_percent == 100
    assert replace(plan, bound=0).gap_percent == 0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"end": date(2020, 1, 1)}, "later end"),
        ({"tolerance_percent": 100}, "0 to 99"),
        ({"tolerance_percent": -1}, "0 to 99"),
        ({"capacity_minutes": 0}, "longer than 0"),
    ],
)
def test_terms_that_cannot_be_kept_are_refused(change: dict[str, object], words: str) -> None:
    with pytest.raises(InputRefused, match=words):
        replace(TERMS, **change)


def test_the_same_items_give_the_same_plan() -> None:
    items = [an_item(date(2027, 1, 1) + timedelta(days=17 * n), key=str(n)) for n in range(20)]
    assert plan_visits(items, TERMS) == plan_visits(items, TERMS)


def test_work_that_a_crowded_day_pushes_past_its_date_is_told_and_the_bound_speaks_of_plans_without_it() -> None:
    monthly, half_yearly = Period(months=1), Period(months=6)
    lines = [
        PlanLine(due=None, period=monthly, minutes=1),
        PlanLine(due=None, period=half_yearly, minutes=30),
        PlanLine(due=None, period=half_yearly, minutes=30),
        PlanLine(due=date(2027, 11, 9), period=monthly, minutes=1),
    ]
    items = [PlanItem(key=str(number), visual=None, test=line) for number, line in enumerate(lines)]
    plan = plan_visits(items, replace(TERMS, capacity_minutes=30))
    assert plan.waiting, "what was due at once has to wait for another day"
    assert plan.gap_percent == 0
