"""`appreg evidence`: groups with their numbers, as lines and as JSON."""

from datetime import date
from typing import Any

import pytest

from appreg.core.records.kept_records import Appliance
from tests.cli.conftest import Answer, Call
from tests.tasks.worked_site import WorkedSite, combined


def as_list(answer: Answer) -> list[dict[str, Any]]:
    assert isinstance(answer.json, dict)
    groups: list[dict[str, Any]] = answer.json["groups"]
    return groups


@pytest.fixture
def gained(row: WorkedSite) -> WorkedSite:
    """The same site a year on: of two items found after an interval one had failed."""
    passed, _, third = row.register.find(Appliance)
    row.record(passed, combined(), row.visit(date(2026, 11, 24)))
    row.record(third, combined(), row.visit(date(2025, 11, 24)))
    row.record(third, combined(earth="0.52"), row.visit(date(2026, 11, 24)))
    return row


@pytest.mark.usefixtures("gained")
def test_evidence_as_json_has_the_numbers_behind_every_answer(call: Call) -> None:
    answer = call("evidence", "--by", "type", "--json")
    assert answer.code == 0
    test, look = as_list(answer)
    assert (test["group"], test["interval"], test["now"], test["items"]) == ("portable", "test", "P1Y", 3)
    assert (test["inspections"], test["failures"], test["electrical_failures"]) == (2, 1, 1)
    assert test["by_check"] == {"earth-continuity": 1}
    # Clopper-Pearson, 1 of 2 at 95 % two-sided: 1 - sqrt(1 - 0.025) and its mirror (derived).
    assert test["rate_low"] == pytest.approx(1 - 0.975**0.5)
    assert test["rate_high"] == pytest.approx(0.975**0.5)
    assert (test["answer"], test["suggestion"], test["target"]) == ("too little evidence", None, "0.02")
    assert (look["interval"], look["failures"], look["visual_failures"]) == ("visual", 0, 0)
    assert test["years"] == [{"year": 2026, "inspections": 2, "failures": 1}]
    assert test["left_out"] == {"first": 3, "retests": 0, "earlier": 0, "too_soon": 0, "long_after": 0}
    assert look["left_out"] == {"first": 3, "retests": 0, "earlier": 0, "too_soon": 0, "long_after": 2}


@pytest.mark.usefixtures("gained")
def test_evidence_in_lines_tells_seen_from_measured(call: Call) -> None:
    answer = call("evidence")
    assert answer.code == 0
    assert "no category" in answer.out
    assert "1.26-98.74 %" in answer.out
    assert "too little evidence" in answer.out
    assert "look: left out 3 first inspections and 2 long after the interval." in answer.out


@pytest.mark.usefixtures("row")
def test_target_and_confidence_are_the_duty_holders(call: Call) -> None:
    (test, _) = as_list(call("evidence", "--target", "2.5%", "--confidence", "90", "--site", "HR", "--json"))
    assert (test["target"], test["confidence"]) == ("0.025", "0.9")


@pytest.mark.usefixtures("row")
@pytest.mark.parametrize("typed", ["0", "100", "2,5", "two", "-1"])
def test_a_target_that_is_no_percentage_is_refused(call: Call, typed: str) -> None:
    answer = call("evidence", f"--target={typed}")
    assert answer.code == 2
    assert "is not a percentage above 0 and below 100" in answer.err
