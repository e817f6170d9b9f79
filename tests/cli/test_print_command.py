"""Printing: labels, the register of a site, the report of a visit."""

import json
import os
from datetime import date, timedelta
from importlib import import_module
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from msgspec.structs import replace

from appreg.cli import label_sheets
from appreg.core.records.kept_records import Appliance, Client, Person
from appreg.paper.labels import label_sheet
from appreg.tasks.desk.keep_settings import settings_path
from appreg.tasks.documents.paper_kinds import PAPERS
from appreg.tasks.records.change_record import change_record
from tests.cli.conftest import Call
from tests.paper.pdf_reading import codes_on, whole_text
from tests.paper.test_stock_reading import ROLL
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


@pytest.fixture
def fresh(row: WorkedSite) -> WorkedSite:
    """The item that passed a year ago has passed again, so that its label may be printed."""
    row.record(row.register.find(Appliance, tag="HR-001")[0], combined(), row.visit(date(2026, 11, 23)))
    return row


def test_labels_are_printed_once_and_again_on_request(fresh: WorkedSite, call: Call, tmp_path: Path) -> None:
    out = tmp_path / "l.pdf"
    answer = call("print", "labels", "-o", out, "--stock", "a4-40", "--start", "40")
    written = f"{out}: 2 labels on 2 sheets; the next may start at place 2.\n"
    assert (answer.code, answer.out) == (
        0,
        f"{written}They wait until they came out: appreg print labels --confirm {out}\n",
    )
    assert out.read_bytes().startswith(b"%PDF")
    assert call("print", "labels", "-o", tmp_path / "jam.pdf").code == 0, "written is not printed"
    done = call("print", "labels", "--confirm", out)
    assert (done.code, done.out) == (0, f"2 labels of {out} printed.\n")
    assert call("print", "labels", "-o", tmp_path / "none.pdf").code == 1
    again = call("print", "labels", "-o", out, "--force", "--again", "--site", "HR", "--json")
    assert again.json == {
        "format": "appreg.labels",
        "version": 1,
        "file": str(out),
        "labels": 2,
        "sheets": 1,
        "next_start": 3,
        "counted_as_printed": False,
        "missing_glyphs": [],
        "lacking": [],
        "left_out": [],
        "destroy": [],
    }
    assert fresh.site.prefix == "HR"


def test_spoiled_places_wait_again_and_the_rest_counts(fresh: WorkedSite, call: Call, tmp_path: Path) -> None:
    out = tmp_path / "l.pdf"
    assert call("print", "labels", "-o", out, "--used", "1-3,5").code == 0
    answer = call("print", "labels", "--confirm", out, "--spoiled", "1:4", "--json")
    assert answer.json == {
        "format": "appreg.labels-confirmed",
        "version": 1,
        "file": str(out),
        "printed": 1,
        "waiting": 1,
        "destroy": [],
    }
    preview = call("print", "labels", "--preview", "--json")
    assert preview.json == {
        "format": "appreg.labels-preview",
        "version": 1,
        "labels": [{"sheet": 1, "place": 1, "tag": "HR-001", "says": "TESTED · PASS"}],
        "left_out": [],
    }
    for words in (
        ("--confirm", out, "--spoiled", "9:1"),
        ("--confirm", tmp_path / "no.pdf"),
        ("--spoiled", "1", "-o", out),
    ):
        assert call("print", "labels", *words).code == 2
    assert fresh.site.prefix == "HR"


def test_labels_are_chosen_by_tag_and_room_and_a_preview_writes_nothing(
    fresh: WorkedSite, call: Call, tmp_path: Path
) -> None:
    end = fresh.register.last_instant()
    for words, tags in (
        (("--tags", "hr-002..HR-100"), ["HR-002"]),
        (("--tags", "HR-1,HR-001"), ["HR-001"]),
        (("--room", "KITCHEN", "--order", "date"), ["HR-001", "HR-002"]),
    ):
        told = call("print", "labels", "--preview", "--json", *words).json
        assert isinstance(told, dict)
        assert [each["tag"] for each in told["labels"]] == tags
    assert call("print", "labels", "--preview", "--room", "attic").code == 1
    assert call("print", "labels", "--preview", "--tags", "HR-9..HR-1").code == 2
    assert list(tmp_path.glob("*.pdf")) == []
    assert fresh.register.last_instant() == end


def test_labels_of_one_visit(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    answer = call("print", "labels", "-o", tmp_path / "l.pdf", "--visit", "2026-11-24")
    assert "1 label on 1 sheet; the next may start at place 2.\n" in answer.out
    assert row.site.prefix == "HR"


def test_a_register_and_a_report_are_printed(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    for words in (
        ("print", "register", "--site", "HR", "-o", tmp_path / "r.pdf"),
        ("print", "report", "--site", "HR", "-o", tmp_path / "v.pdf"),
        ("print", "report", "--visit", "2025-11-24", "-o", tmp_path / "w.pdf", "--json"),
    ):
        assert call(*words).code == 0, words
    assert all((tmp_path / f"{name}.pdf").read_bytes().startswith(b"%PDF") for name in "rvw")
    assert row.site.prefix == "HR"


def test_a_list_is_pages_or_rows_by_the_ending_of_its_name(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    assert call("print", "due", "--site", "HR", "--within", "9999", "-o", tmp_path / "due.pdf").code == 0
    assert (tmp_path / "due.pdf").read_bytes().startswith(b"%PDF")
    assert call("print", "due", "--within", "9999", "-o", tmp_path / "due.csv").code == 0
    assert call("print", "due", "--within", "9999", "-o", tmp_path / "due.xlsx").code == 0
    written = [*openpyxl.load_workbook(tmp_path / "due.xlsx").active.values]
    lines = (tmp_path / "due.csv").read_text(encoding="utf-8").splitlines()
    assert len(written) == sum(not line.startswith(",") for line in lines)
    assert lines[0] == "place,tag,item,what,due,state,days,because,said"
    assert any(line.startswith("Harbour Row · Kitchen,HR-001,") for line in lines), lines
    answer = call("print", "due", "-o", tmp_path / "due.txt")
    assert (answer.code, answer.err.count("\n")) == (2, 1)
    assert row.site.prefix == "HR"


def test_what_is_to_be_printed_is_declared_once(call: Call) -> None:
    told = " ".join(call("print", "--help").out.split())
    for each in PAPERS:
        assert f"{each.name} ({each.help})" in told
        assert each.tells or each.writes
        for task in filter(None, (each.tells, each.writes, each.issues)):
            module, _, function = task.partition(":")
            assert callable(getattr(import_module(f"appreg.tasks.documents.{module}"), function)), task


@pytest.mark.parametrize(
    "words",
    [
        ("register", "--within", "3"),
        ("due", "--issue"),
        ("notice", "--site", "HR"),
        ("notice", "--item", "HR-001", "--size", "a3"),
        ("recording", "--item", "HR-001", "--within", "3"),
        ("register", "--site", "HR", "--room", "Kitchen"),
        ("room", "--site", "HR"),
        ("labels", "--spare", "3"),
        ("due", "--visit", "latest"),
        ("due", "--item", "HR-001"),
        ("issued", "--document", "1", "--within", "3"),
        ("register",),
        ("report",),
        ("register", "--site", "HR", "--visit", "latest"),
        ("report", "--site", "HR", "--stock", "a4-24"),
        ("labels", "--stock", "a4-25"),
        ("labels", "--start", "0"),
        ("labels", "--start", "25"),
    ],
)
def test_options_that_do_not_go_together_are_refused(
    row: WorkedSite, call: Call, tmp_path: Path, words: tuple[str, ...]
) -> None:
    answer = call("print", *words, "-o", tmp_path / "x.pdf")
    assert (answer.code, answer.out, answer.err.count("\n")) == (2, "", 1)
    assert not (tmp_path / "x.pdf").exists()
    assert row.site.prefix == "HR"


def test_a_report_that_lacks_a_statutory_field_is_incomplete(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    change_record(row.register, WHO, replace(row.site, landlord_profile="gb-scotland-private"))
    change_record(row.register, WHO, replace(row.register.get(Client, row.client.uid), address=""))
    change_record(row.register, WHO, replace(row.register.get(Person, row.person.uid), qualifications=""))
    answer = call("print", "report", "--site", "HR", "-o", tmp_path / "x.pdf")
    assert (answer.code, answer.err.count("\n")) == (3, 1)
    assert "qualifications" in answer.err
    assert "landlord's or agent's address" in answer.err
    assert not (tmp_path / "x.pdf").exists()


def test_a_file_that_cannot_be_written_is_told(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    for out in (tmp_path, tmp_path / "none" / "x.pdf"):
        answer = call("print", "register", "--site", "HR", "-o", out)
        assert (answer.code, answer.err.count("\n")) == (2, 1)
    assert row.site.prefix == "HR"


@pytest.mark.parametrize(
    "words",
    [("labels", "--again"), ("register", "--site", "HR"), ("report", "--site", "HR")],
    ids=lambda words: words[0],
)
def test_what_the_typeface_lacks_is_told_on_standard_error(
    fresh: WorkedSite, call: Call, tmp_path: Path, words: tuple[str, ...]
) -> None:
    for item in fresh.register.find(Appliance):
        change_record(fresh.register, WHO, replace(item, name="Lampe 漢"))
    whole = ("print", *words, "-o", tmp_path / "x.pdf", "--force")
    answer = call(*whole)
    assert (answer.code, answer.err) == (0, "appreg: The typeface lacks 漢: boxes stand in their places.\n")
    assert "漢" not in answer.out
    told = call(*whole, "--json").json
    assert isinstance(told, dict)
    assert told["missing_glyphs"] == ["漢"]


def test_a_label_to_destroy_is_named_on_standard_error_and_in_json_and_the_exit_code_is_1(
    fresh: WorkedSite, call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = label_sheet.write_label_sheet

    def while_another_desk_works(*args: Any, **options: Any) -> Any:
        summary = drawn(*args, **options)
        fresh.record(fresh.register.find(Appliance, tag="HR-001")[0], combined(earth="0.52"))
        return summary

    monkeypatch.setattr(label_sheet, "write_label_sheet", while_another_desk_works)
    answer = call("print", "labels", "-o", tmp_path / "l.pdf", "--printed", "--json")
    assert answer.code == 1
    assert answer.err == (
        "appreg: Destroy the label of HR-001 (sheet 1, place 1): it failed on 24 Nov 2026 meanwhile.\n"
    )
    (destroyed,) = json.loads(answer.out)["destroy"]
    assert (destroyed["tag"], destroyed["sheet"], destroyed["place"]) == ("HR-001", 1, 1)


def test_a_file_that_is_there_is_overwritten_only_with_force(row: WorkedSite, call: Call, tmp_path: Path) -> None:
    out = tmp_path / "kept.pdf"
    for words in (("labels",), ("register", "--site", "HR"), ("report", "--site", "HR")):
        out.write_bytes(b"kept")
        refused = call("print", *words, "-o", out)
        assert (refused.code, refused.out) == (2, "")
        assert "--force" in refused.err
        assert out.read_bytes() == b"kept"
        assert call("print", *words, "-o", out, "--force").code == 0
        assert out.read_bytes().startswith(b"%PDF")
    assert row.site.prefix == "HR"


def standing(folder: Path) -> dict[Path, bytes]:
    """What every file holds; of the marks of who reads the register, only that they are none of ours."""
    files = [each for each in folder.iterdir() if each.is_file()]
    return {each: each.read_bytes()[: 4 if each.name.endswith("-shm") else None] for each in files}


@pytest.mark.parametrize("force", [(), ("--force",)])
def test_no_register_becomes_a_document(row: WorkedSite, call: Call, tmp_path: Path, force: tuple[str, ...]) -> None:
    register = row.register.path
    (tmp_path / "link.pdf").symlink_to(register)
    before = standing(tmp_path)
    for out in (register, f"{register}-wal", f"{register}-shm", f"{register}-journal", tmp_path / "link.pdf"):
        for words in (("print", "register", "--site", "HR", "-o", out), ("plan", "--site", "HR", "--ics", out)):
            answer = call(*words, *force)
            assert (answer.code, answer.out, answer.err.count("\n")) == (2, "", 1), out
    assert standing(tmp_path) == before
    assert (tmp_path / "link.pdf").is_symlink()


@pytest.mark.parametrize("out", [".", "/", "", " ", "-", "folder/", "missing/x.pdf", "x" * 300, "half \udcff/x.pdf"])
def test_words_that_name_no_file_are_refused_in_a_sentence(
    row: WorkedSite, call: Call, tmp_path: Path, out: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "empty").mkdir()
    monkeypatch.chdir(tmp_path / "empty")
    for words in (("print", "register", "--site", "HR", "-o", out), ("plan", "--site", "HR", "--ics", out)):
        answer = call(*words, "--force")
        assert (answer.code, answer.out, answer.err.count("\n")) == (2, "", 1)
    assert list((tmp_path / "empty").iterdir()) == []
    assert row.site.prefix == "HR"


def test_a_label_of_a_failure_that_comes_out_on_a_later_day_is_no_other_label(
    row: WorkedSite, call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "l.pdf"
    assert row.register.find(Appliance, tag="HR-002")[0].next_test == TODAY
    monkeypatch.setattr(label_sheets, "local_today", lambda: TODAY)
    assert call("print", "labels", "-o", out, "--tags", "HR-002").code == 0
    monkeypatch.setattr(label_sheets, "local_today", lambda: TODAY + timedelta(days=2))
    done = call("print", "labels", "--confirm", out)
    assert (done.code, done.out, done.err) == (0, f"1 label of {out} printed.\n", "")


def test_own_stock_is_listed_printed_on_and_its_faults_are_told(fresh: WorkedSite, call: Call, tmp_path: Path) -> None:
    assert fresh.site.prefix == "HR"
    own = settings_path(os.environ).with_name("stocks.toml")
    own.parent.mkdir(parents=True, exist_ok=True)
    own.write_text(ROLL + "\n[crooked]\nrows = 3\n", encoding="utf-8")
    told = call("print", "labels", "--stocks", "--json")
    assert told.code == 1
    assert isinstance(told.json, dict)
    assert [each["id"] for each in told.json["stocks"] if each["own"]] == ["shop-roll"]
    assert [f"appreg: {fault}" for fault in told.json["faults"]] == told.err.splitlines()
    assert "stocks.toml, line 15, crooked: it lacks title, " in told.err
    out = tmp_path / "roll.pdf"
    assert "2 labels on 2 sheets" in call("print", "labels", "--stock", "shop-roll", "-o", out).out
    refused = call("print", "labels", "--stock", "crooked", "-o", tmp_path / "no.pdf")
    assert refused.code == 2
    assert "crooked: it lacks" in refused.err


def test_a_calibration_page_needs_no_register_and_labels_take_the_offset_of_a_printer(
    fresh: WorkedSite, call: Call, tmp_path: Path
) -> None:
    assert fresh.site.prefix == "HR"
    page = tmp_path / "c.pdf"
    assert call("print", "labels", "--calibration", "--stock", "a4-65", "-o", page).code == 0
    assert page.read_bytes().startswith(b"%PDF")
    assert call("print", "labels", "--offset-of", "office", "-o", tmp_path / "l.pdf").code == 2
    assert call("settings", "set", "printer_offsets", "office: 0.6 right 1.2 up").code == 0
    assert call("print", "labels", "--offset-of", "office", "-o", tmp_path / "l.pdf").code == 0
    moved = tmp_path / "m.pdf"
    assert call("print", "labels", "--calibration", "--offset-of", "office", "-o", moved, "--json").code == 0
    assert "Moved 0.6 right 1.2 up for office." in whole_text(moved)
    assert call("print", "register", "--calibration", "-o", tmp_path / "r.pdf").code == 2
    assert call("print", "labels", "--calibration").code == 2


def test_tags_beforehand_and_locations_are_printed_of_one_site_and_found_by_their_codes(
    fresh: WorkedSite, call: Call, tmp_path: Path
) -> None:
    tags, rooms = tmp_path / "t.pdf", tmp_path / "r.pdf"
    told = call("print", "labels", "--beforehand", "HR-001,HR-901..HR-903", "--site", "HR", "-o", tags, "--json")
    assert isinstance(told.json, dict)
    assert (told.code, told.json["labels"], told.json["counted_as_printed"]) == (0, 3, False)
    assert told.json["left_out"] == [{"tag": "HR-001", "why": "is borne by an item already"}]
    wall = call("print", "labels", "--locations", "--site", "HR", "--room", "kitchen", "-o", rooms)
    assert (wall.code, wall.out) == (0, f"{rooms}: 1 label on 1 sheet; the next may start at place 2.\n")
    (code,) = codes_on(rooms)
    assert "HR-001" in call("find", code).out
    missing = call("find", codes_on(tags)[0])
    assert missing.code == 1
    assert "was printed beforehand for" in missing.err
    for words in (
        ("--beforehand", "HR-9", "-o", tags),
        ("--beforehand", "HR-9", "--locations", "--site", "HR", "-o", tags),
        ("--locations", "--site", "HR", "--again", "-o", rooms),
        ("--locations", "--site", "HR"),
        ("--beforehand", "HR_9", "--site", "HR", "-o", tmp_path / "x.pdf"),
    ):
        assert call("print", "labels", *words).code == 2, words
    assert call("print", "labels", "--locations", "--site", "HR", "--room", "attic", "-o", tmp_path / "x.pdf").code == 1
    assert fresh.site.prefix == "HR"
