"""What a plan is held against: worked out by hand for one item, and by simulation for many."""

from datetime import date, timedelta

from dateutil.relativedelta import relativedelta
from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.core.values.periods import Period
from appreg.schedule.plan_items import PlanItem, PlanLine
from appreg.schedule.plan_terms import PlanTerms
from appreg.schedule.visit_comparison import cost_of, cost_yearly, going_when_due
from appreg.schedule.visit_plans import plan_visits

START, END = date(2026, 1, 1), date(2028, 12, 31)


def terms(*, every: int = 1, capacity: int | None = None) -> PlanTerms:
    days = [START + timedelta(days=ahead) for ahead in range(0, (END - START).days + 1, every)]
    return PlanTerms(start=START, end=END, allowed=days, capacity_minutes=capacity)


def line(due: date | None, months: int, minutes: int = 5) -> PlanLine:
    return PlanLine(due=due, period=Period(months=months), minutes=minutes)


def test_whenever_due_goes_once_for_each_due_day_and_a_test_counts_as_a_look() -> None:
    # Look every 6 months, test every 12, both last done on 1 January: the look in July, both in January.
    item = PlanItem(key="a", visual=line(date(2026, 7, 1), 6, 3), test=line(date(2027, 1, 1), 12, 7))
    cost = going_when_due([item], terms()).cost
    assert (cost.visits, cost.inspections, cost.minutes, cost.early, cost.late_items) == (5, 5, 3 * 3 + 2 * 7, 0, 0)


def test_whenever_due_takes_the_last_allowed_day_and_counts_it_as_early() -> None:
    item = PlanItem(key="a", visual=None, test=line(date(2027, 6, 30), 24))
    cost = going_when_due([item], terms(every=7)).cost
    assert (cost.visits, cost.early) == (1, 1)


def test_two_items_due_on_one_day_share_the_visit_and_a_long_day_counts_several() -> None:
    items = [PlanItem(key=key, visual=None, test=line(date(2027, 1, 3), 24, 50)) for key in "abc"]
    assert going_when_due(items, terms()).cost.visits == 1
    assert going_when_due(items, terms(capacity=100)).cost.visits == 2


def test_everything_yearly_is_early_for_long_intervals_and_late_for_short_ones() -> None:
    long, short = (PlanItem(key=str(m), visual=None, test=line(date(2026, 1, 1), m)) for m in (24, 6))
    cost = cost_yearly([long, short], terms())
    assert (cost.visits, cost.inspections, cost.early, cost.late_items) == (3, 6, 2, 1)
    never = PlanItem(key="n", visual=None, test=line(None, 12))
    assert cost_yearly([never], terms()).late_items == 0


DUES = st.one_of(st.none(), st.dates(date(2025, 6, 1), date(2028, 6, 1)))
LINES = st.builds(line, DUES, st.sampled_from([3, 6, 12, 24]), st.integers(1, 9))


@settings(max_examples=60, deadline=None)
@given(made=st.lists(LINES, min_size=1, max_size=6), every=st.sampled_from([1, 3, 7]))
def test_whenever_due_agrees_with_a_walk_from_day_to_day(made: list[PlanLine], every: int) -> None:
    at = terms(every=every)
    items = [PlanItem(key=str(n), visual=None, test=each) for n, each in enumerate(made)]
    visits: set[date] = set()
    inspections = 0
    for each in made:
        due = each.due or START - timedelta(days=1)
        done = START - timedelta(days=1)
        while due <= END:
            before = [day for day in at.allowed if done < day <= due]
            after = [day for day in at.allowed if day > max(done, due)]
            if not before and not after:
                break
            done = before[-1] if before else after[0]
            visits.add(done)
            inspections += 1
            due = done + relativedelta(months=each.period.months)
    cost = going_when_due(items, at).cost
    assert (cost.visits, cost.inspections) == (len(visits), inspections)
    assert cost_of(plan_visits(items, at)).visits <= cost.visits
