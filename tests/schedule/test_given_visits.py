"""Visits on days that somebody chose: the work stays with its visit, and only what has become needless is let go."""

from datetime import date, timedelta

import pytest
from msgspec.structs import replace

from appreg.core.values.periods import Period
from appreg.schedule.given_visits import GivenVisit, follow_visits
from appreg.schedule.plan_items import LineKind, PlanItem, PlanLine
from appreg.schedule.plan_terms import PlanTerms

START = date(2027, 1, 1)
TERMS = PlanTerms(
    start=START, end=date(2028, 12, 31), allowed=tuple(START + timedelta(days=each) for each in range(0, 730, 7))
)
YEAR = Period(months=12)


def item(key: str, due: date | None) -> PlanItem:
    return PlanItem(key=key, visual=None, test=PlanLine(due=due, period=YEAR, minutes=6))


def given(key: str, day: date, *items: str) -> GivenVisit:
    return GivenVisit(key=key, day=day, work=dict.fromkeys(items, LineKind.TEST))


def test_work_goes_with_its_visit_and_is_late_by_its_own_due_date() -> None:
    visits = [
        given("1", date(2027, 3, 9), "a"),
        given("2", date(2027, 2, 2), "b"),
        given("3", date(2028, 2, 8), "a", "b"),
    ]
    followed = follow_visits([item("a", date(2027, 3, 1)), item("b", date(2027, 3, 1))], TERMS, visits)
    (late,) = followed.work["1"]
    assert (late.key, late.late_days, late.overdue_days) == ("a", 8, 8)
    assert [each.early_days for each in followed.work["2"]] == [27]
    assert {each.key for each in followed.work["3"]} == {"a", "b"}
    assert followed.left == ()


def test_a_day_outside_the_terms_may_be_chosen() -> None:
    odd = date(2027, 2, 28)
    assert odd not in TERMS.allowed
    followed = follow_visits([item("a", date(2027, 3, 1))], TERMS, [given("1", odd, "a")])
    assert [each.early_days for each in followed.work["1"]] == [1]


def test_an_item_that_no_visit_names_is_done_on_the_one_that_suits_it_best() -> None:
    visits = [given("1", date(2027, 1, 15), "a"), given("2", date(2027, 6, 4), "a")]
    known, new = item("a", date(2027, 1, 20)), item("new", date(2027, 6, 10))
    followed = follow_visits([known, new], TERMS, visits)
    assert [each.key for each in followed.work["1"]] == ["a"]
    assert "new" in {each.key for each in followed.work["2"]}


def test_what_was_inspected_meanwhile_is_not_inspected_again() -> None:
    visits = [given("1", date(2027, 1, 15), "a"), given("2", date(2028, 1, 7), "a")]
    fresh = item("a", date(2028, 1, 10))
    followed = follow_visits([fresh], TERMS, visits)
    assert followed.work["1"] == ()
    assert [each.key for each in followed.work["2"]] == ["a"]


@pytest.mark.parametrize("named", [True, False])
def test_two_visits_on_one_day_stay_two_and_share_the_work_once(named: bool) -> None:
    day = date(2027, 1, 15)
    other = given("2", day, "b") if named else GivenVisit(key="2", day=day)
    followed = follow_visits([item("a", day), item("b", day)], TERMS, [given("1", day, "a"), other])
    assert [each.key for each in followed.work["1"]] == ["a"]
    assert [each.key for each in followed.work["2"]] == ["b"]


def test_a_test_that_is_no_longer_asked_for_leaves_the_visual_inspection_on_its_visit() -> None:
    day = date(2027, 3, 5)
    looked = PlanItem(key="a", visual=PlanLine(due=date(2027, 3, 9), period=YEAR, minutes=2), test=None)
    followed = follow_visits([looked], replace(TERMS, end=date(2027, 12, 31)), [given("1", day, "a")])
    assert [(each.kind, each.minutes) for each in followed.work["1"]] == [(LineKind.VISUAL, 2)]
    assert followed.left == ()


def test_what_falls_due_is_left_where_the_plan_has_no_day_any_more() -> None:
    shut = PlanTerms(start=START, end=date(2027, 1, 31), allowed=())
    items = [item("a", date(2026, 12, 1)), item("b", None), item("c", date(2027, 1, 31)), item("d", date(2027, 2, 1))]
    assert [each.key for each in follow_visits(items, shut, []).left] == ["a", "b", "c"]


def test_what_no_visit_meets_is_left() -> None:
    followed = follow_visits([item("a", date(2027, 3, 1))], TERMS, [])
    assert [(each.key, each.due) for each in followed.left] == [("a", date(2027, 3, 1))]
