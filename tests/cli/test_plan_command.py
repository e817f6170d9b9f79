"""`appreg plan`: visits as lines, JSON and a calendar; what-ifs; refusals."""

from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from appreg.tasks.planning.keep_plan import kept_plans, load_plan
from tests.cli.conftest import Answer, Call
from tests.tasks.worked_site import WorkedSite

FROM = ("--from", "2026-11-24", "--days", "FREQ=DAILY")


def as_dict(answer: Answer) -> dict[str, Any]:
    assert isinstance(answer.json, dict)
    return answer.json


@pytest.mark.usefixtures("row")
def test_a_plan_as_json_has_every_visit_with_its_items_and_the_comparison(call: Call) -> None:
    answer = call("plan", "--site", "hr", *FROM, "--json")
    assert answer.code == 0
    plan = as_dict(answer)
    (trip,) = plan["trips"]
    assert (trip["sites"], trip["from"], trip["to"], trip["items"]) == (["Harbour Row"], "2026-11-24", "2029-11-23", 2)
    first = trip["visits"][0]
    assert first["date"] == "2026-11-24"
    assert {each["tag"]: each["due"] for each in first["inspections"]} == {"HR-001": "2026-11-24", "HR-003": None}
    assert plan["visits"] == plan["bound"] == len(trip["visits"]) == 6
    assert plan["gap_percent"] == 0
    assert plan["comparison"]["plan"]["late_items"] == 0
    assert plan["comparison"]["everything_yearly"]["late_items"] == 2
    assert set(plan["comparison"]) == {"plan", "whenever_due", "everything_yearly"}


@pytest.mark.usefixtures("row")
def test_a_plan_in_lines_says_how_good_it_is(call: Call) -> None:
    answer = call("plan", *FROM, "--years", "1")
    assert answer.code == 0
    assert "Harbour Row: 2 visits for 2 items" in answer.out
    assert "everything yearly" in answer.out
    assert "No plan has fewer than 2 visits: the number is proven least." in answer.out


def test_a_calendar_is_written_with_events_and_tasks(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    path = tmp_path / "plan.ics"
    answer = call("plan", "--site", row.site.uid, *FROM, "--ics", path)
    assert answer.code == 0
    assert str(path) in answer.out
    calendar = Calendar.from_ical(path.read_bytes())
    assert len(calendar.walk("VEVENT")) == 6
    (todo,) = calendar.walk("VTODO")
    assert str(todo["SUMMARY"]) == "Overdue at Harbour Row: 2 inspections of 1 item"
    again = call("plan", "--site", row.site.uid, *FROM, "--days", "FREQ=WEEKLY;BYDAY=TU", "--ics", path, "--force")
    assert again.code == 0
    moved = Calendar.from_ical(path.read_bytes()).walk("VEVENT")
    assert {str(each["UID"]) for each in moved} >= {str(each["UID"]) for each in calendar.walk("VEVENT")}
    assert {each["SEQUENCE"] for each in moved} > {0}


@pytest.mark.usefixtures("row")
def test_capacity_closures_holidays_and_own_minutes_are_kept(call: Call, tmp_path: Path) -> None:
    holidays, minutes = tmp_path / "h.txt", tmp_path / "m.toml"
    holidays.write_text("2026-11-24 Holiday\n")
    minutes.write_text("[minutes]\nvisual = 40\n")
    words = ("--closed", "2026-11-25/2026-11-30", "--holidays", holidays, "--minutes", minutes, "--capacity", "50")
    visits = as_dict(call("plan", *FROM, *words, "--json"))["trips"][0]["visits"]
    assert visits[0]["date"] == "2026-12-01"
    assert all(visit["minutes"] <= 50 for visit in visits)
    assert "1 inspection overdue already must wait for time" in call("plan", *FROM, *words).out


@pytest.mark.usefixtures("row")
def test_a_what_if_shows_both_sides(call: Call) -> None:
    words = ("plan", "--site", "HR", *FROM, "--if-visual", "P1Y")
    compared = as_dict(call(*words, "--json"))
    assert compared["before"]["plan"]["visits"] == 6
    assert compared["after"]["plan"]["visits"] == 3
    assert [compared[side]["counts"]["inspections"]["overdue"] for side in ("before", "after")] == [1, 0]
    answer = call(*words)
    assert "as it is" in answer.out
    assert "Nothing is saved." in answer.out


@pytest.mark.usefixtures("row")
@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--site", "Nowhere"), "there is no site Nowhere"),
        (("--tolerance", "125%"), "is not a percentage from 0 to 99"),
        (("--tolerance", "x"), "is not a percentage"),
        (("--years", "99"), "give 1 to 20"),
        (("--days", "TU,TH"), "not a rule for days"),
        (("--closed", "soon"), "--closed: “soon” is not a date"),
        (("--holidays", "/no/such/file"), "cannot be read"),
        (("--minutes", "/no/such/file"), "cannot be read"),
        (("--capacity", "0"), "longer than 0 minutes"),
        (("--site", "HR", "--if-table", "no-such"), "no interval table"),
        (("--site", "HR", "--if-test", "2 years"), "ISO 8601"),
        (("--site", "HR", "--if-test", "P2Y", "--ics", "x.ics"), "leave the --if options out"),
    ],
)
def test_what_cannot_be_planned_is_refused_in_a_sentence(call: Call, words: tuple[str, ...], sentence: str) -> None:
    answer = call("plan", *words)
    assert (answer.code, answer.out) == (2, "")
    assert sentence in answer.err
    assert answer.err.count("\n") == 1


@pytest.mark.usefixtures("row")
def test_a_tolerance_is_typed_with_or_without_its_sign(call: Call) -> None:
    with_sign, without = (call("plan", *FROM, "--tolerance", text, "--json").json for text in ("10%", "10"))
    assert with_sign == without


def test_a_plan_over_crews_is_kept_told_again_as_it_stands_and_held_against_whenever_due(
    row: WorkedSite, call: Call
) -> None:
    assert call("new", "crew", "North crew", "--people", "2", "--minutes-a-day", "200").code == 0
    words = ("plan", "--site", "HR", "--crew", "north CREW", *FROM, "--keep", "Next year")
    plan = as_dict(call(*words, "--json"))
    assert {out["crew"] for out in plan["days_out"]} == {"North crew"}
    assert all(out["minutes"] <= out["capacity_minutes"] == 400 for out in plan["days_out"])
    assert plan["going"]["plan"]["days_out"] == len(plan["days_out"]) <= plan["going"]["whenever_due"]["days_out"]
    kept = call("plan", "--kept", "next year")
    assert kept.code == 0
    assert "Next year, kept by" in kept.out
    assert "Plan: " in kept.out
    assert "whenever something is due: " in kept.out
    (booked,) = [load_plan(row.register, each.uid) for each in kept_plans(row.register)]
    assert len(booked.visits) == len(plan["days_out"])
    assert "keeps Next year" in call("plan", "--kept", "Last year").err
    assert "there is no South" in call("plan", "--crew", "South").err


@pytest.mark.usefixtures("row")
def test_without_minutes_a_day_the_plan_says_so(call: Call) -> None:
    assert "No minutes a day are set" in call("plan", *FROM).out
    assert "No minutes a day are set" not in call("plan", *FROM, "--capacity", "60").out


@pytest.mark.usefixtures("row")
def test_a_what_if_at_one_location_says_what_it_leaves_alone(call: Call) -> None:
    words = ("plan", "--site", "HR", *FROM, "--if-environment", "public")
    answer = as_dict(call(*words, "--if-location", "kitchen", "--json"))
    assert answer["before"]["plan"] != answer["after"]["plan"]
    assert isinstance(answer["left_alone"], list)
    assert call("plan", "--site", "HR", "--if-location", "kitchen").code == 2
    assert call(*words, "--if-location", "moon").code == 2
