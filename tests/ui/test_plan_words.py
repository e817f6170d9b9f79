"""What is said of an act upon a plan, and which of two plans is the better one: never in favour of what is late."""

from datetime import date
from types import SimpleNamespace
from typing import Any

from appreg.schedule.plan_items import LeftOverdue, LineKind, PlannedInspection
from appreg.ui.screens.plan.plan_making import worth
from appreg.ui.screens.plan.plan_words import act_words

DUE = date(2026, 12, 1)


def late(tag: str, days: int) -> Any:
    planned = PlannedInspection(key=tag, kind=LineKind.TEST, due=DUE, early_days=0, late_days=days, minutes=5)
    return SimpleNamespace(appliance=SimpleNamespace(uid=tag), planned=planned)


def left(tag: str) -> Any:
    return SimpleNamespace(
        appliance=SimpleNamespace(uid=tag), planned=LeftOverdue(key=tag, kind=LineKind.TEST, due=DUE)
    )


def plan(*rows: Any, days_out: int = 4) -> Any:
    return SimpleNamespace(late=rows, cost=SimpleNamespace(days_out=days_out, visits=days_out))


def test_what_is_late_already_and_comes_later_still_is_said() -> None:
    assert act_words("moved", plan(late("A", 2)), plan(late("A", 200))) == "moved: 1 late item later still"
    assert act_words("moved", plan(late("A", 2)), plan(left("A"))) == "moved: 1 late item later still"
    assert act_words("moved", plan(late("A", 2)), plan(late("A", 3), late("B", 1))) == (
        "moved: 1 more item late, 1 late item later still"
    )


def test_what_is_late_and_comes_sooner_is_not_told_as_later() -> None:
    assert act_words("moved", plan(late("A", 2)), plan(late("A", 1))) == "moved: nothing more goes late"
    assert act_words("moved", plan(late("A", 2), late("B", 1)), plan(late("A", 2))) == "moved: 1 item no longer late"
    assert act_words("moved", plan(left("A")), plan(late("A", 9))) == "moved: nothing more goes late"


def test_a_plan_that_leaves_something_undone_is_never_better_than_one_that_does_it_late() -> None:
    assert worth(plan(late("A", 30), days_out=5)) < worth(plan(left("A"), days_out=4))


def test_of_two_plans_equally_late_the_one_with_fewer_days_out_is_better() -> None:
    assert worth(plan(late("A", 2), days_out=3)) < worth(plan(late("A", 2), days_out=4))
    assert worth(plan(late("A", 1), days_out=4)) < worth(plan(late("A", 2), days_out=3))
