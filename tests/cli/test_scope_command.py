"""`appreg scope`: told, written into files, and held against what came back."""

import csv
import io
import json
from datetime import timedelta
from pathlib import Path

import pytest

from appreg.cli import scope
from tests.cli.conftest import Call
from tests.paper.pdf_reading import whole_text
from tests.tasks.worked_site import TODAY, WorkedSite, combined


@pytest.fixture(autouse=True)
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(scope, "local_today", lambda: TODAY)


def test_a_scope_goes_out_as_table_json_or_page_and_the_three_name_the_same_items(
    row: WorkedSite, call: Call, tmp_path: Path
) -> None:
    assert row.kettle().tag == "HR-004"
    wanted = ["HR-001", "HR-003", "HR-004"]
    told = call("scope")
    assert "1 site · 3 items" in told.out
    assert "Not in it: withdrawn 1" in told.out
    for ending in ("csv", "json", "pdf"):
        out = tmp_path / f"scope.{ending}"
        assert call("scope", "hr", "-o", out).code == 0
        assert call("scope", "hr", "-o", out).code == 2, "it is there already"
    heads, *rows = csv.reader(io.StringIO((tmp_path / "scope.csv").read_bytes().decode(), newline=""))
    lines = [dict(zip(heads, cells, strict=True)) for cells in rows]
    assert [line["tag"] for line in lines if line["line"] == "item"] == wanted
    assert call("scope", "--csv").out == (tmp_path / "scope.csv").read_bytes().decode()
    written = json.loads((tmp_path / "scope.json").read_text())
    assert written == call("scope", "HR", "--json").json
    assert [item["tag"] for item in written["items"]] == wanted
    text = whole_text(tmp_path / "scope.pdf")
    assert all(tag in text for tag in wanted)
    assert "HR-002" not in text
    for words in (
        "earth continuity",
        "people are let in Mon-Fri",
        "minutes on site",
        "Scope of work, 24 Nov 2026",
    ):
        assert words in text


def test_what_came_back_ends_by_what_it_came_to(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    out = tmp_path / "scope.csv"
    assert call("scope", "HR", "-o", out).code == 0
    back = call("scope", "--compare", out)
    assert (back.code, "2 items wanted: 0 done, 0 failed, 2 not done, 0 extra" in back.out) == (3, True)
    visit = row.visit(TODAY + timedelta(days=1))
    first, _, last = (row.register.find(type(row.kettle()), tag=tag)[0] for tag in ("HR-001", "HR-002", "HR-003"))
    row.record(first, combined(), visit)
    row.record(last, combined(), visit)
    assert call("scope", "--compare", out).code == 0
    row.record(last, combined(earth="0.9"), visit)
    back = call("scope", "--compare", out, "--json")
    assert back.code == 1
    assert isinstance(back.json, dict)
    assert back.json["counts"] == {"done": 1, "failed": 1, "not_done": 0, "extra": 0}
    heads, *rows = csv.reader(io.StringIO(call("scope", "--compare", out, "--csv").out, newline=""))
    assert [dict(zip(heads, cells, strict=True))["result"] for cells in rows] == ["failed", "done"]


@pytest.mark.usefixtures("row")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("scope", "HR", "-o", "scope.txt"), "end in .csv, .xlsx, .json, .pdf"),
        (("scope", "HR", "--force"), "--force belongs to --output"),
        (("scope", "HR", "--compare", "x.csv"), "takes its sites and items from the file"),
        (("scope", "--compare", "x.csv", "--force"), "--force belongs to --output"),
        (("scope", "Nowhere"), "there is no site Nowhere"),
        (("scope", "--compare", "nothing.csv"), "cannot be read"),
    ],
)
def test_what_cannot_be_done_is_refused(call: Call, words: tuple[str, ...], said: str) -> None:
    answer = call(*words)
    assert answer.code == 2
    assert said in answer.err
