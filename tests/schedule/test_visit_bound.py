"""The bound never lies above what a plan needs, at any point of any plan; what is followed is least early."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.schedule.day_grid import NEVER
from appreg.schedule.option_states import START, Option, PlanBoard
from appreg.schedule.plan_items import LineKind
from appreg.schedule.visit_following import Follower, Step
from appreg.schedule.visit_plans import board_for
from appreg.schedule.visit_search import VisitBound, find_visits, visits_when_due
from tests.outside.plan_reference import random_site

SEEDS = st.integers(0, 1_000_000)


def site(seed: int, every_days: int = 14) -> PlanBoard:
    items, terms = random_site(seed, most_items=6, months=24, every_days=every_days)
    return board_for(items, terms)


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_along_any_plan_the_bound_never_asks_for_more_visits_than_it_makes(seed: int) -> None:
    board = site(seed)
    bound = VisitBound(board)
    for days in (visits_when_due(board, board.beginning), *find_visits(board).plans):
        state = board.beginning
        for made, day in enumerate(days):
            assert bound.visits_needed(state) <= len(days) - made
            state = board.visited(state, day)
        assert state == {}
        assert bound.visits_needed(state) == 0


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_the_search_is_never_worse_than_waiting_and_leaves_nothing_unreached(seed: int) -> None:
    board = site(seed)
    found = find_visits(board)
    assert found.bound <= found.visits <= len(visits_when_due(board, board.beginning))
    assert all(board.unreached(days) == 0 for days in found.plans)
    assert {len(days) for days in found.plans} == {found.visits}


@settings(max_examples=40, deadline=None)
@given(SEEDS, st.randoms(use_true_random=False))
def test_a_class_is_unreached_exactly_when_following_the_days_leaves_it_late(seed: int, dice: st.DataObject) -> None:
    board = site(seed)
    days = [day for day in range(board.size) if dice.random() < 0.3]  # type: ignore[attr-defined]
    unreached = board.unreached(days)
    for bit, member in enumerate(board.classes):
        course = Follower(board).course(member, days)
        assert (course.late == course.hasty == 0) == (not unreached >> bit & 1)


@settings(max_examples=20, deadline=None)
@given(SEEDS)
def test_for_given_days_no_course_is_less_early_than_the_one_followed(seed: int) -> None:
    board = site(seed, every_days=100)
    days = find_visits(board).plans[0]
    for bit, member in enumerate(board.classes):
        followed = Follower(board).course(member, days)
        tried = [early for early in every_course(board, bit, days) if early is not None]
        assert followed.late == 0
        assert followed.early == min(tried)


def every_course(board: PlanBoard, bit: int, days: tuple[int, ...]) -> list[int | None]:
    """Days early of every way to give each visit nothing, a look or a test; None where something goes late."""
    ways: list[int | None] = []
    for count in range(len(days) + 1):
        for chosen in combinations(days, count):
            for tests in range(2**count):
                kinds = [LineKind.TEST if tests >> place & 1 else LineKind.VISUAL for place in range(count)]
                ways.append(early_days(board, bit, [Step(*pair) for pair in zip(chosen, kinds, strict=True)]))
    return ways


def early_days(board: PlanBoard, bit: int, steps: list[Step]) -> int | None:
    ordinals = board.grid.ordinals
    places = (START, START)
    early = 0
    for step in steps:
        (_, visual, test), *_ = board.next_windows(Option(board.classes[bit].group, *places), 1 << bit)
        own = test if step.kind is LineKind.TEST else visual
        if step.day > min(visual.last, test.last) or step.day < own.first:
            return None
        early += ordinals[own.last] - ordinals[step.day]
        places = (step.day, step.day) if step.kind is LineKind.TEST else (step.day, places[1])
    (_, visual, test), *_ = board.next_windows(Option(board.classes[bit].group, *places), 1 << bit)
    return early if min(visual.last, test.last) == NEVER else None
