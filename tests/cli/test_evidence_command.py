"""`appreg evidence`: groups with their numbers, as lines and as JSON."""

import csv
import io
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from appreg.cli import evidence_decisions, opening
from appreg.core.records.kept_records import Appliance
from appreg.core.records.work_records import IntervalKind, IntervalOverride
from appreg.schedule.evidence import METHOD
from appreg.tasks.planning.override_interval import override_for_items
from tests.cli.conftest import Answer, Call
from tests.cli.json_forms import checked
from tests.evidence_site import PASSED, fill
from tests.tasks.worked_site import TODAY, WorkedSite, combined, worked_site


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
    assert test["left_out"] == {
        "first": 3,
        "retests": 0,
        "earlier": 0,
        "too_soon": 0,
        "too_soon_failed": 0,
        "long_after": 0,
    }
    assert look["left_out"] == {
        "first": 3,
        "retests": 0,
        "earlier": 0,
        "too_soon": 0,
        "too_soon_failed": 0,
        "long_after": 2,
    }


@pytest.mark.usefixtures("gained")
def test_evidence_in_lines_tells_seen_from_measured(call: Call) -> None:
    answer = call("evidence")
    assert answer.code == 0
    assert "no category" in answer.out
    assert "1.26-98.74 %" in answer.out
    assert "too little evidence" in answer.out
    assert "look: left out 3 first inspections and 2 long after the interval." in answer.out


@pytest.fixture
def proven(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[WorkedSite]:
    """Kettles that the public uses, with 240 clean inspections a year apart: HSG107 asks for a yearly test there."""
    with worked_site(tmp_path, environment="public") as site:
        fill(site, [PASSED] * 240, items=24)
        monkeypatch.setenv("APPREG_REGISTER", str(site.register.path))
        monkeypatch.setenv("APPREG_WHO", "tester")
        monkeypatch.setattr(opening, "system_clock", site.register.last_instant)
        monkeypatch.setattr(evidence_decisions, "local_today", lambda: TODAY)
        yield site


ACCEPT = ("evidence", "--accept", "no category", "--interval", "test")


def test_what_is_suggested_is_accepted_once_signed_for_and_taken_back(proven: WorkedSite, call: Call) -> None:
    kettles = proven.register.find(Appliance)
    earlier = override_for_items(
        proven.register,
        "Ann",
        items=kettles,
        what=IntervalKind.TEST,
        period="P1Y",
        reason="as agreed",
        on=date(2010, 1, 1),
    )
    refused = call(*ACCEPT)
    assert refused.code == 2
    assert "A duty holder has to sign: 18 months is longer than 1 year, the longest by" in refused.err
    assert set(proven.register.find(IntervalOverride)) == set(earlier)
    signed = (*ACCEPT, "--signed-by", "N. Holder", "--signed-on", "20.11.2026", "--reason", "light use", "--json")
    answer = call(*signed)
    assert answer.code == 0
    assert checked(answer) == "appreg.interval-decision"
    told = answer.json
    assert isinstance(told, dict)
    assert (told["done"], told["was"], told["now"], told["items"]) == ("accepted", "P1Y", ["P18M"], 24)
    assert (told["signed_by"], told["signed_on"], told["reason"]) == ("N. Holder", "2026-11-20", "light use")
    kept = proven.register.find(IntervalOverride)
    assert {(each.period, each.author, each.signed_by, each.signed_on) for each in kept} == {
        ("P18M", "tester", "N. Holder", date(2026, 11, 20))
    }
    assert call(*signed).code == 2  # the same evidence is not used twice
    assert "18 months, set on 24 Nov 2026 by tester" in call("evidence").out
    back = call("evidence", "--take-back", "No Category", "--now", "p18m", "--reason", "damp")
    assert back.code == 0
    assert "24 intervals set by hand taken back; what holds again: every 1 year, set for this item by Ann" in back.out
    assert set(proven.register.find(IntervalOverride)) == set(earlier)


@pytest.mark.usefixtures("proven")
@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--accept", "no category"), "2 groups answer to that"),
        (("--accept", "kettles"), "no group answers to that; there is no category"),
        (("--accept", "no category", "--interval", "visual"), "the evidence suggests no such interval"),
        (("--take-back", "no category", "--interval", "test"), "nothing is to be taken back"),
        (("--take-back", "no category", "--signed-by", "N. Holder"), "goes with --accept"),
        (("--accept", "no category", "--signed-on", "1.1.2026"), "goes with --signed-by"),
        (("--reason", "light use"), "goes with --accept or --take-back"),
        (("--accept", "x", "--take-back", "y"), "not allowed with"),
    ],
)
def test_a_decision_that_is_not_clear_changes_nothing(
    call: Call, proven: WorkedSite, words: tuple[str, ...], sentence: str
) -> None:
    answer = call("evidence", *words)
    assert answer.code == 2
    assert sentence in answer.err
    assert proven.register.find(IntervalOverride) == []


@pytest.mark.usefixtures("gained")
def test_window_method_and_promise_are_stated(call: Call) -> None:
    told = call("evidence").out
    assert "Counted: what was found 0.75 to 1.5 times the interval after the last pass" in told
    assert "NCSL RP-1, method A3" in told
    (test, _) = as_list(call("evidence", "--json"))
    assert (test["window"], test["must_sign_because"], test["set_by_hand_since"]) == (
        {"least": "0.75", "most": "1.5"},
        "",
        None,
    )
    assert test["whole_intervals"] == 2


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


@pytest.mark.usefixtures("gained")
def test_evidence_as_rows_has_its_numbers_and_says_how_they_come_about(call: Call, tmp_path: Path) -> None:
    told = list(csv.DictReader(io.StringIO(call("evidence", "--by", "type", "--csv").out, newline="")))
    rows, said = [row for row in told if row["items_like"]], [row["said"] for row in told if row["said"]]
    groups = as_list(call("evidence", "--by", "type", "--json"))
    assert [(int(row["inspections"]), int(row["failures"]), row["answer"]) for row in rows] == [
        (each["inspections"], each["failures"], each["answer"]) for each in groups
    ]
    assert METHOD in said
    file = tmp_path / "evidence"
    assert call("evidence", "--target", "20", "--xlsx", file).out.startswith(f"Written: {file}.xlsx, ")
    book = openpyxl.load_workbook(f"{file}.xlsx")
    assert "Target 20 % failures, confidence 95 %" in str(book[book.sheetnames[-1]]["A2"].value)
    assert call("evidence", "--xlsx", file).code == 2, "a file that is there stays"
    assert call("evidence", "--csv", "--accept", "portable").code == 2
