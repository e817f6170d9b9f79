"""A proposed plan with a visit moved: its work goes along, and what goes overdue is told."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.core.values.periods import Period
from appreg.errors import InputRefused
from appreg.schedule.plan_items import LineKind, PlanItem, PlanLine
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_plans import move_visit
from appreg.schedule.visit_plans import plan_visits as fewest_visits
from appreg.tasks.planning.draft_plan import PlanDraft, draft_of, move_planned_visit, steps_of_week
from appreg.tasks.planning.plan_visits import PlanWishes, plan_visits
from tests.tasks.worked_site import TODAY, WorkedSite, combined


@pytest.fixture
def draft(here: WorkedSite) -> PlanDraft:
    """A kettle tested on 24 June 2026: looks in December, tests in June; every day can be visited."""
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    wishes = PlanWishes(start=TODAY, days="FREQ=DAILY")
    return draft_of(plan_visits(here.register, trips=[(here.site.uid,)], wishes=wishes))


def days(draft: PlanDraft) -> list[date]:
    return [each.visit.day for each in draft.visits]


def test_moved_later_the_visit_is_late_by_so_many_days_and_says_what(draft: PlanDraft) -> None:
    moved, day = move_planned_visit(draft, trip=0, day=date(2026, 12, 24), steps=5)
    assert day == date(2026, 12, 29)
    (line,) = moved.late
    assert (line.appliance.tag, line.kind, line.due, line.on, line.days) == (
        "HR-001",
        LineKind.VISUAL,
        date(2026, 12, 24),
        date(2026, 12, 29),
        5,
    )
    assert moved.is_changed
    assert not draft.is_changed
    assert moved.now.cost.late_items == 1
    assert moved.proposed == draft.proposed


def test_moved_earlier_the_next_due_dates_follow(draft: PlanDraft) -> None:
    moved, day = move_planned_visit(draft, trip=0, day=date(2027, 6, 24), steps=-14)
    assert day == date(2027, 6, 10)
    # Done 14 days early, the next look is due on 10 December, the next test on 10 June, both before their visits.
    assert [(line.kind, line.due, line.days) for line in moved.late] == [
        (LineKind.VISUAL, date(2027, 12, 10), 14),
        (LineKind.TEST, date(2028, 6, 10), 14),
    ]
    assert days(moved) == [day if each == date(2027, 6, 24) else each for each in days(draft)]


def test_moved_back_nothing_is_changed(draft: PlanDraft) -> None:
    there, day = move_planned_visit(draft, trip=0, day=date(2026, 12, 24), steps=3)
    back, _ = move_planned_visit(there, trip=0, day=day, steps=-3)
    assert back.now.trips[0].plan.visits == draft.now.trips[0].plan.visits
    assert back.late == ()


def test_onto_another_visit_both_become_one(draft: PlanDraft) -> None:
    moved, _ = move_planned_visit(
        draft, trip=0, day=date(2027, 12, 24), steps=(date(2028, 6, 24) - date(2027, 12, 24)).days
    )
    assert len(days(moved)) == len(days(draft)) - 1
    (visit,) = [each.visit for each in moved.visits if each.visit.day == date(2028, 6, 24)]
    assert [each.kind for each in visit.inspections] == [LineKind.TEST]


def test_the_visit_stays_within_the_days_of_the_plan(draft: PlanDraft) -> None:
    first = days(draft)[0]
    with pytest.raises(InputRefused, match="stays on 24 Dec 2026: the plan has no day before"):
        move_planned_visit(draft, trip=0, day=first, steps=-31)
    with pytest.raises(InputRefused, match="no day after"):
        move_planned_visit(draft, trip=0, day=days(draft)[-1], steps=999)


def test_only_allowed_days_are_moved_to(here: WorkedSite) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    wishes = PlanWishes(start=TODAY, days="FREQ=WEEKLY;BYDAY=TU,TH")
    draft = draft_of(plan_visits(here.register, trips=[(here.site.uid,)], wishes=wishes))
    _, later = move_planned_visit(draft, trip=0, day=days(draft)[0], steps=1)
    _, earlier = move_planned_visit(draft, trip=0, day=days(draft)[0], steps=-1)
    assert {later.weekday(), earlier.weekday(), days(draft)[0].weekday()} <= {1, 3}
    assert earlier < days(draft)[0] < later


START = date(2026, 1, 1)
LINES = st.builds(
    lambda ahead, months: PlanLine(due=START + timedelta(days=ahead), period=Period(months=months), minutes=4),
    st.integers(0, 300),
    st.sampled_from([3, 6, 12]),
)
ITEMS = st.lists(st.tuples(LINES, LINES), min_size=1, max_size=5)


@settings(max_examples=50, deadline=None)
@given(made=ITEMS, which=st.integers(0, 20), ahead=st.integers(0, 100))
def test_moving_loses_no_work_and_never_names_late_what_is_in_date(
    made: list[tuple[PlanLine, PlanLine]], which: int, ahead: int
) -> None:
    items = [PlanItem(key=str(at), visual=visual, test=test) for at, (visual, test) in enumerate(made)]
    allowed = [START + timedelta(days=5 * at) for at in range(147)]
    terms = PlanTerms(start=START, end=date(2027, 12, 31), allowed=allowed)
    plan = fewest_visits(items, terms)
    old = plan.visits[which % len(plan.visits)].day
    new = allowed[(allowed.index(old) + ahead) % len(allowed)]
    moved = move_visit(plan, items, terms, old, new)
    same = move_visit(plan, items, terms, old, old)
    assert same == plan
    merged = sum(visit.day == new for visit in plan.visits)
    if old == new or not merged:
        assert moved.inspections == plan.inspections
    for day, each in moved.late:
        assert each.due is not None
        assert each.kind is LineKind.TEST or each.due < day
    done: dict[str, date] = {}
    for visit in moved.visits:
        for each in visit.inspections:
            assert done.get(each.key, START - timedelta(days=1)) < visit.day
            done[each.key] = visit.day


@pytest.mark.parametrize(
    ("days_to_go", "weeks", "weekdays_moved"),
    [("FREQ=DAILY", 1, 7), ("FREQ=DAILY", -1, -7), ("FREQ=WEEKLY;BYDAY=TH", 1, 7), ("FREQ=WEEKLY;BYDAY=TH", -1, -7)],
)
def test_a_week_is_a_week_on_the_days_that_can_be_visited(
    here: WorkedSite, days_to_go: str, weeks: int, weekdays_moved: int
) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    wishes = PlanWishes(start=TODAY, days=days_to_go)
    draft = draft_of(plan_visits(here.register, trips=[(here.site.uid,)], wishes=wishes))
    visit = draft.visits[1]
    _, new = move_planned_visit(draft, trip=0, day=visit.visit.day, steps=steps_of_week(draft, visit, weeks))
    assert (new - visit.visit.day).days == weekdays_moved


@pytest.mark.parametrize("weeks", [1, -1])
def test_where_no_day_of_the_week_can_be_visited_a_visit_moves_to_the_next_that_can(
    here: WorkedSite, weeks: int
) -> None:
    here.record(here.kettle(), combined(), here.visit(date(2026, 6, 24)))
    wishes = PlanWishes(start=TODAY, days="FREQ=WEEKLY;INTERVAL=3;BYDAY=TU")
    draft = draft_of(plan_visits(here.register, trips=[(here.site.uid,)], wishes=wishes))
    visit = draft.visits[1]
    steps = steps_of_week(draft, visit, weeks)
    assert steps == weeks
    _, new = move_planned_visit(draft, trip=0, day=visit.visit.day, steps=steps)
    assert new - visit.visit.day == timedelta(weeks=3 * weeks)
