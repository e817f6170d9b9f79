"""`appreg list`: columns, filters, JSON and CSV."""

import csv
import io
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_site import add_site
from tests.cli.conftest import Answer, Call
from tests.tasks.worked_site import WHO, WorkedSite

DAY = date(2026, 11, 24)


@pytest.fixture(autouse=True)
def day_of_the_test(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("appreg.cli.list_records.local_today", lambda: DAY)


def listed(answer: Answer, what: str = "items") -> list[dict[str, Any]]:
    assert answer.code == 0
    assert isinstance(answer.json, dict)
    lines: list[dict[str, Any]] = answer.json[what]
    return lines


@pytest.mark.parametrize(
    ("state", "tags"),
    [
        ("in-service", ["HR-001", "HR-003"]),
        ("withdrawn", ["HR-002"]),
        ("failed", ["HR-002"]),
        ("overdue", ["HR-001"]),
        ("due-soon", []),
        ("never-inspected", ["HR-003"]),
        ("missing", []),
    ],
)
def test_items_are_kept_to_a_state(row: WorkedSite, call: Call, state: str, tags: list[str]) -> None:
    assert [each["tag"] for each in listed(call("list", "items", "--state", state, "--json"))] == tags
    assert row.site.prefix == "HR"


def test_items_are_kept_to_a_site_and_to_words(row: WorkedSite, call: Call) -> None:
    other = add_site(row.register, WHO, client=row.client.uid, name="Two", prefix="TW", environment="low-risk")
    assert listed(call("list", "items", "--site", "TW", "--json")) == []
    assert len(listed(call("list", "items", "kettle", "--site", "HR", "--json"))) == 3
    assert [each["tag"] for each in listed(call("list", "items", "hr3", "--json"))] == ["HR-003"]
    assert [each["site"] for each in listed(call("list", "sites", "two", "--json"), "sites")] == [other.name]


def test_columns_are_chosen_and_others_are_refused_by_name(row: WorkedSite, call: Call) -> None:
    answer = call("list", "items", "--columns", "tag, last date,class")
    assert [" ".join(line.split()) for line in answer.out.splitlines()] == [
        "tag last date class",
        "HR-001 24 Nov 2025 1",
        "HR-002 24 Nov 2026 1",
        "HR-003 1",
    ]
    refused = call("list", "sites", "--columns", "site,colour")
    assert refused.code == 2
    assert "sites have no column 'colour'; choose from site, prefix" in refused.err
    assert call("list", "visits", "--state", "failed").code == 2
    assert row.site.prefix == "HR"


def test_csv_cells_are_guarded_and_numbers_are_not(row: WorkedSite, call: Call) -> None:
    add_appliance(row.register, WHO, site=row.site.uid, location=row.kitchen.uid, name="=1+1", make="@sum")
    heads, *rows = csv.reader(io.StringIO(call("list", "items", "--csv", "--columns", "item,make").out, newline=""))
    assert heads == ["item", "make"]
    assert ["'=1+1", "'@sum"] in rows
    (line,) = list(csv.reader(io.StringIO(call("list", "sites", "--csv", "--columns", "site,items").out)))[1:]
    assert line == ["Harbour Row", "4"]


def test_sites_count_items_as_the_list_on_the_screen_does(row: WorkedSite, call: Call) -> None:
    (site,) = listed(call("list", "sites", "--json"), "sites")
    counts = site["counts"]["items"]
    assert (counts["all"], counts["overdue"], counts["failed"], counts["never_inspected"]) == (3, 1, 1, 1)
    due = call("due", "--on", DAY.isoformat(), "--json").json
    assert isinstance(due, dict)
    assert due["counts"]["items"]["overdue"] == counts["overdue"]
    assert due["counts"]["inspections"] == site["counts"]["inspections"]
    assert (site["overdue_share"], site["oldest_overdue"]) == (50, "2026-05-24")
    assert row.site.prefix == "HR"


def test_visits_stand_latest_first_with_what_they_came_to(row: WorkedSite, call: Call) -> None:
    last, first = listed(call("list", "visits", "--json"), "visits")
    assert [last["date"], first["date"]] == ["2026-11-24", "2025-11-24"]
    assert (last["failed"], last["passed"], last["instrument"]) == (1, 0, "BT-1")
    assert [each["date"] for each in listed(call("list", "visits", "2025", "--json"), "visits")] == ["2025-11-24"]
    assert [each["date"] for each in listed(call("list", "visits", "24 Nov 2025", "--json"), "visits")] == [
        "2025-11-24"
    ]
    assert row.site.prefix == "HR"


def test_sites_are_sorted_worst_first_when_asked(row: WorkedSite, call: Call) -> None:
    add_site(row.register, WHO, client=row.client.uid, name="Attic", prefix="AT", environment="low-risk")
    asked = ("list", "sites", "--csv", "--columns", "site,overdue_items,oldest_overdue")
    by_name, worst = (
        list(csv.reader(io.StringIO(call(*asked, *more).out)))[1:]
        for more in ((), ("--sort", "overdue_items", "--reverse"))
    )
    assert [line[0] for line in by_name] == ["Attic", "Harbour Row"]
    assert worst == [["Harbour Row", "1", "2026-05-24"], ["Attic", "0", ""]]


def test_find_and_due_have_the_columns_of_their_lists(row: WorkedSite, call: Call) -> None:
    found = list(csv.reader(io.StringIO(call("find", "hr", "--csv", "--columns", "tag,class,next_test").out)))
    listed_too = list(
        csv.reader(io.StringIO(call("list", "items", "hr", "--csv", "--columns", "tag,class,next_test").out))
    )
    assert found == listed_too
    assert found[0] == ["tag", "class", "next_test"]
    due = list(csv.reader(io.StringIO(call("due", "--on", DAY.isoformat(), "--csv", "--columns", "due,tag").out)))
    assert due[:2] == [["due", "tag"], ["2026-05-24", "HR-001"]]
    assert call("due", "--columns", "colour").code == 2
    assert row.site.prefix == "HR"


def test_tags_are_sorted_as_every_list_sorts_them(row: WorkedSite, call: Call) -> None:
    for tag in ("HR-1000", "HR-999"):
        add_appliance(row.register, WHO, site=row.site.uid, location=row.kitchen.uid, name="Fan", tag=tag)
    lines = call("list", "items", "--sort", "tag", "--csv", "--columns", "tag").out.splitlines()
    assert lines == ["tag", "HR-001", "HR-002", "HR-003", "HR-999", "HR-1000"]
    turned = call("list", "items", "--sort", "tag", "--reverse", "--csv", "--columns", "tag").out.splitlines()
    assert turned[1:] == lines[:0:-1]


def test_a_workbook_is_written_with_days_and_counts_and_kept_unless_forced(
    row: WorkedSite, call: Call, tmp_path: Path
) -> None:
    out = tmp_path / "items"
    call("list", "items", "--xlsx", str(out), "--columns", "tag,last_date,next_test")
    sheet = openpyxl.load_workbook(tmp_path / "items.xlsx").active
    assert [cell.value for cell in sheet[2]][:2] == ["HR-001", datetime(2025, 11, 24)]  # noqa: DTZ001 - openpyxl's days
    kept = call("list", "sites", "--xlsx", f"{out}.xlsx")
    assert (kept.code, "--force" in kept.err) == (2, True)
    assert call("list", "sites", "--xlsx", f"{out}.xlsx", "--force").code == 0
    head, first = openpyxl.load_workbook(f"{out}.xlsx").active.iter_rows(values_only=True)
    told = dict(zip(head, first, strict=True))
    assert (told["site"], told["items"]) == (row.site.name, 3)
    assert call("list", "items", "--force").code == 2


def test_what_is_due_and_what_is_found_is_written_as_a_workbook(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    del row
    assert call("due", "--on", "2026-11-24", "--by", "site", "--xlsx", str(tmp_path / "due.xlsx")).code == 0
    head, *lines = openpyxl.load_workbook(tmp_path / "due.xlsx").active.iter_rows(values_only=True)
    assert head[:2] == ("group", "tag")
    overdue = next(line for line in lines if line[head.index("state")] == "overdue")
    assert isinstance(overdue[head.index("due")], datetime)
    assert isinstance(overdue[head.index("days")], int)
    assert call("find", "kettle", "--xlsx", str(tmp_path / "found.xlsx")).code == 0
