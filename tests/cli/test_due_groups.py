"""`appreg due` in groups, with what is blocked and what users check; `appreg move`."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Answer, Call
from tests.tasks.worked_site import WorkedSite, combined, worked_site


def as_dict(answer: Answer) -> dict[str, Any]:
    assert isinstance(answer.json, dict)
    return answer.json


@pytest.fixture
def hire(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[WorkedSite]:
    """A hire store with one item that passed and one never inspected."""
    with worked_site(tmp_path, environment="hire") as site:
        site.record(site.kettle(), combined())
        site.kettle()
        monkeypatch.setenv("APPREG_REGISTER", str(site.register.path))
        monkeypatch.setenv("APPREG_WHO", "tester")
        yield site


@pytest.mark.usefixtures("row")
@pytest.mark.parametrize(
    ("by", "title"),
    [
        ("site", "Harbour Row"),
        ("location", "Harbour Row, Kitchen"),
        ("environment", "low risk: offices, shops, dwellings and the like"),
        ("category", "no category"),
    ],
)
def test_due_is_grouped_with_counts_months_and_lines(call: Call, by: str, title: str) -> None:
    words = ("due", "--on", "2026-11-24", "--by", by)
    (group,) = as_dict(call(*words, "--json"))["groups"]
    assert group["group"] == title
    assert group["counts"] == {
        "items": {"overdue": 1, "due_soon": 0, "never_inspected": 1, "withdrawn": 1},
        "inspections": {"overdue": 1, "due_soon": 1},
    }
    assert group["months"] == [1, *[0] * 11]
    assert len(group["lines"]) == 3
    answer = call(*words)
    assert title in answer.out
    assert "█···········  at most 1 a month" in answer.out
    heads, *rows = csv.reader(io.StringIO(call(*words, "--csv").out, newline=""))
    assert heads[:2] == ["group", "tag"]
    assert {line[0] for line in rows} == {title}


@pytest.mark.usefixtures("row")
def test_user_checks_are_told_by_frequency(call: Call) -> None:
    answer = call("due", "--on", "2026-11-24", "--json")
    assert as_dict(answer)["user_checks"] == [
        {
            "site": "Harbour Row",
            "location": "Kitchen",
            "every": "before use",
            "items": 2,
            "because": "low risk, Class I",
        }
    ]
    assert as_dict(answer)["blocked"] == []
    assert "User checks, which are not recorded" in call("due").out


@pytest.mark.usefixtures("hire")
def test_an_item_is_blocked_until_inspected_and_again_once_it_comes_back(call: Call) -> None:
    blocked = as_dict(call("due", "--json"))["blocked"]
    assert {line["tag"] for line in blocked} == {"HR-002"}
    assert "Not to be issued or used until inspected:" in call("due").out
    refused = call("move", "hr-002", "issued")
    assert refused.code == 2
    assert "must not be issued" in refused.err
    assert call("move", "hr-001", "issued", "--on", "2026-11-24", "--note", "the fair").code == 0
    back = call("move", "hr-001", "returned", "--on", "2026-11-25", "--json")
    assert as_dict(back)["movement"] == "returned"
    assert [block["event"] for block in as_dict(back)["blocked"]] == ["before issue", "before issue", "after return"]
    assert call("move", "nothing", "issued").code == 1


@pytest.mark.usefixtures("hire")
def test_what_was_tested_longer_ago_than_the_house_wants_is_issued_only_where_that_is_said(call: Call) -> None:
    assert call("settings", "set", "issue_limit_days", "30").code == 0
    late = ("move", "hr-001", "issued", "--on", "2026-12-25")
    refused = call(*late)
    assert refused.code == 2
    assert "last tested 24 Nov 2026, 31 days before; the house's limit is 30 days" in refused.err
    issued = call(*late, "--past-limit", "--json")
    assert as_dict(issued)["last_tested"] == "2026-11-24"
    assert (as_dict(issued)["days_since_test"], as_dict(issued)["issue_limit_days"]) == (31, 30)
    assert call("move", "hr-001", "returned", "--on", "2026-12-25").code == 0
    assert call("settings", "usual", "issue_limit_days").code == 0


def test_user_checks_are_listed_by_room_and_a_fault_is_noted_in_one_line(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with worked_site(tmp_path, environment="construction-230") as site:
        site.kettle()
        site.kettle()
        monkeypatch.setenv("APPREG_REGISTER", str(site.register.path))
        told = as_dict(call("list", "checks", "--json"))["checks"]
        assert [(line["location"], line["tag"], line["every"]) for line in told] == [
            ("Kitchen", "HR-001", "every shift, daily"),
            ("Kitchen", "HR-002", "every shift, daily"),
        ]
        heads, *rows = csv.reader(io.StringIO(call("list", "checks", "tag:HR-002", "--csv").out, newline=""))
        assert [dict(zip(heads, line, strict=True))["tag"] for line in rows] == ["HR-002"]
        noted = as_dict(call("fault", "hr-001", "=cord [cut]", "--found-by", "Ida", "--on", "2026-11-25", "--json"))
        assert noted["state"] == "withdrawn"
        assert noted["notes"] == "withdrawn: fault found in use by Ida on 25 Nov 2026: =cord [cut]"
        assert "HR-001" not in call("list", "checks").out
        assert call("fault", "hr-001", " ").code == 2
        assert call("fault", "nothing", "cord").code == 1
