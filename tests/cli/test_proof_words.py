"""What a plan says of its own number of visits."""

from types import SimpleNamespace
from typing import cast

import pytest

from appreg.cli.plan_output import proof_words
from appreg.tasks.planning.plan_visits import EstatePlan
from appreg.ui.screens.plan.plan_words import proof, proof_of


@pytest.mark.parametrize(
    ("visits", "keeps_all", "said"),
    [
        (60, True, "No plan has fewer than 60 visits"),
        (66, True, "No plan has fewer than 60 visits"),
        (51, False, "A plan in which nothing goes late has at least 60 visits"),
        (51, True, "A plan that keeps to its tolerance has at least 60 visits"),
    ],
)
def test_no_plan_says_that_none_has_fewer_visits_than_more_than_it_has(visits: int, keeps_all: bool, said: str) -> None:
    cost = SimpleNamespace(visits=visits)
    plan = cast("EstatePlan", SimpleNamespace(bound=60, gap_percent=10, cost=cost, crews=None, keeps_all=keeps_all))
    assert proof_words(plan).startswith(said)
    assert proof(proof_of(plan)).casefold().startswith(said.casefold())
