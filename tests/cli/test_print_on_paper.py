"""`appreg print --printer`: what a queue took is told, listed and counted; what it refuses leaves everything waiting."""

import re
from pathlib import Path

import pytest

from appreg.core.records.kept_records import Appliance
from tests.cli.conftest import Call
from tests.cli.json_forms import checked
from tests.cli.test_print_command import fresh as _fresh
from tests.paper.pdf_reading import codes_on, text_boxes, whole_text
from tests.print_server import PrintServer
from tests.printer_fixtures import ONE_QUEUE, StandIn
from tests.tasks.worked_site import WorkedSite

fresh = _fresh
OFFICE = ("--printer", "Office")


def test_labels_printed_on_a_real_queue_count_at_once_keep_no_file_and_can_be_spoiled(
    fresh: WorkedSite, call: Call, tmp_path: Path, cups: PrintServer
) -> None:
    before = set(tmp_path.iterdir())
    answer = call("print", "labels", *OFFICE, "--copies", "1")
    assert answer.code == 0, answer.err
    first, second = answer.out.splitlines()
    assert first == "2 labels on 1 sheet; the next may start at place 3."
    assert re.fullmatch(r"Job 1, taken by Office as Office-\d+: 2 labels\.", second)
    assert {each.split()[0] for each in codes_on(cups.printed(tmp_path), dpi=300)} == {"*HR-001", "*HR-002"}
    assert {each.suffix for each in set(tmp_path.iterdir()) - before} == {".pdf", ".copies"}
    assert call("print", "labels", *OFFICE).err.startswith("appreg: No label waits")
    spoiled = call("print", "labels", "--print-job", "1", "--spoiled", "2")
    assert (spoiled.code, spoiled.out) == (0, "1 label of job 1 to be printed again.\n")
    assert [each["tag"] for each in call("print", "labels", "--preview", "--json").json["labels"]] == ["HR-002"]  # type: ignore[index]
    assert fresh.register.find(Appliance, tag="HR-002")


def test_a_document_goes_to_the_printer_of_the_settings_and_the_file_stays_only_where_one_is_named(
    row: WorkedSite, call: Call, tmp_path: Path, stand_in: StandIn
) -> None:
    noted = stand_in("lp", answer="request id is Office-12 (1 file(s))\n")
    kept = tmp_path / "r.pdf"
    assert call("settings", "set", "document_printer", "Office").code == 0
    answer = call("print", "register", "--site", "HR", "--printer", "--copies", "2", "--pages", "1")
    assert answer.out == "The register of Harbour Row; job 1, taken by Office as Office-12, 2 copies, pages 1.\n"
    words = noted.read_text().splitlines()
    assert words[words.index("-n") + 1] == "2"
    assert not Path(words[-1]).exists()
    issued = call("print", "register", "--site", "HR", "--issue", "-o", kept, *OFFICE, "--json")
    assert issued.json["file"] == str(kept)  # type: ignore[index]
    assert issued.json["printed"] == {  # type: ignore[index]
        "number": 2, "printer": "Office", "queued_as": "Office-12", "copies": 1, "pages": "",
    }  # fmt: skip
    again = call("print", "issued", "--document", "1", *OFFICE, "--json")
    assert (checked(again), again.json["file"]) == ("appreg.document", None)  # type: ignore[index]
    listed = call("list", "printed", "--json")
    assert checked(listed) == "appreg.printed"
    assert [(each["number"], each["document"], each["what"]) for each in listed.json["printed"]] == [  # type: ignore[index]
        (3, "1.1", "document 1, issue 1, every item of Harbour Row"),
        (2, "1.1", "the register of Harbour Row"),
        (1, None, "the register of Harbour Row"),
    ]
    assert call("list", "printed", "number:2", "--columns", "number,printer,queued_as,site").out.splitlines()[1:] == [
        "2       Office   Office-12  Harbour Row"
    ]
    assert row.site.prefix == "HR"


def test_a_scope_of_work_goes_to_a_printer_too(row: WorkedSite, call: Call, tmp_path: Path, stand_in: StandIn) -> None:
    noted = stand_in("lp", answer="request id is Office-3 (1 file(s))\n")
    answer = call("scope", row.site.prefix, *OFFICE)
    assert re.fullmatch(r"The scope of work, .*; job 1, taken by Office as Office-3\.\n", answer.out), answer.err
    assert noted.exists()
    both = call("scope", row.site.prefix, *OFFICE, "-o", tmp_path / "scope.pdf", "--json")
    assert checked(both) == "appreg.document"
    assert both.json["file"] == str(tmp_path / "scope.pdf")  # type: ignore[index]
    for words in ((*OFFICE, "-o", "x.csv"), ("--copies", "2"), (*OFFICE, "--compare", "x.csv")):
        assert call("scope", *words).code == 2


@pytest.mark.parametrize(
    ("queues", "words"),
    [
        ("printer Office disabled since today -\n\tno paper\n", "it is paused (no paper)"),
        ("printer Attic is idle.  enabled since today\n", "There is no printer Office; there are Attic."),
        (ONE_QUEUE, "did not take it"),
    ],
    ids=["paused", "unknown", "refused"],
)
def test_what_no_queue_takes_waits_on_and_is_said_in_a_sentence(
    fresh: WorkedSite, call: Call, stand_in: StandIn, queues: str, words: str
) -> None:
    stand_in("lpstat", answer=queues)
    stand_in("lp", complaint="lp: no\n", code=1)
    answer = call("print", "labels", *OFFICE)
    assert answer.code in {1, 2}
    assert words in answer.err
    assert len(answer.err.strip().splitlines()) == 1
    assert call("list", "printed").out == call("list", "printed", "nothing").out
    assert len(call("print", "labels", "--preview", "--json").json["labels"]) == 2  # type: ignore[index]
    assert fresh.site.prefix == "HR"


def test_without_cups_a_sentence_says_so(
    row: WorkedSite, call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    answer = call("print", "register", "--site", row.site.prefix, "--printer")
    assert (answer.code, answer.err) == (
        1,
        "appreg: This computer has no CUPS (its program lpstat is missing); install it, or write a file and print that.\n",
    )


@pytest.mark.parametrize(
    "words",
    [
        ("labels", "-o", "x.pdf", "--copies", "2"),
        ("labels", "--pages", "1"),
        ("labels", *OFFICE, "--printed"),
        ("labels", *OFFICE, "--preview"),
        ("labels", *OFFICE, "--confirm", "x.pdf"),
        ("labels", "--print-job", "1"),
        ("register", "--print-job", "1"),
        ("due", *OFFICE, "-o", "x.csv"),
        ("labels", *OFFICE, "--copies", "0"),
        ("labels", *OFFICE, "--copies", "100"),
        ("labels", *OFFICE, "--pages", "x"),
    ],
    ids=" ".join,
)  # fmt: skip
def test_options_that_do_not_go_together_are_refused_before_anything_is_asked_of_a_printer(
    fresh: WorkedSite, call: Call, stand_in: StandIn, words: tuple[str, ...]
) -> None:
    asked = stand_in("lpstat")
    assert call("print", *words).code == 2
    assert not asked.exists()
    assert fresh.site.prefix == "HR"


def test_labels_without_an_inspection_and_calibration_pages_go_to_a_printer_with_its_offset(
    fresh: WorkedSite, call: Call, tmp_path: Path, stand_in: StandIn
) -> None:
    stand_in("lp", answer="request id is Office-12 (1 file(s))\n")
    assert call("settings", "set", "printer_offsets", "Office: 0.6 right 1.2 up").code == 0
    rooms = call("print", "labels", "--locations", "--site", "HR", "--room", "kitchen", *OFFICE)
    assert rooms.out.splitlines()[-1] == "Job 1, taken by Office as Office-12."
    page = tmp_path / "c.pdf"
    answer = call("print", "labels", "--calibration", *OFFICE, "-o", page, "--json")
    assert answer.json["printed"]["number"] == 2  # type: ignore[index]
    assert "Moved 0.6 right 1.2 up for Office." in " ".join(whole_text(page).split())
    assert [each["what"] for each in call("list", "printed", "--json").json["printed"]] == [  # type: ignore[index]
        "a calibration page for A4, 24 labels, 63.5 × 33.9 mm",
        "1 label of locations",
    ]
    plain, moved = tmp_path / "p.pdf", tmp_path / "m.pdf"
    assert call("print", "labels", "-o", plain).code == 0
    assert call("print", "labels", "-o", moved, *OFFICE).code == 0
    (_, left, top, *_), (_, shifted, higher, *_) = text_boxes(plain)[0], text_boxes(moved)[0]
    assert (shifted - left, top - higher) == pytest.approx((0.6, 1.2), abs=0.02)
    assert fresh.site.prefix == "HR"
