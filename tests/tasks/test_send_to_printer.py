"""Printing: what a queue took is noted, its labels count with that, and what it refuses changes nothing."""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from hashlib import sha256
from pathlib import Path

import pytest

from appreg.core.records.kept_records import QueuedLabel
from appreg.core.records.print_jobs import PrintedKind, PrintJob
from appreg.errors import AppregError, InputRefused, NotFound, PrintingRefused
from appreg.printers import PrintOrder
from appreg.register.checking.checking import problems
from appreg.register.lists.printed_jobs import printed_jobs
from appreg.tasks.documents.print_labels import print_labels
from appreg.tasks.documents.send_to_printer import (
    PrintedPaper,
    SentLabels,
    print_document,
    print_label_file,
    ready_printer,
    spoil_printed,
)
from appreg.tasks.documents.write_site_register import write_site_register
from appreg.tasks.standing.queue_labels import waiting_labels
from tests.paper.pdf_reading import codes_on, page_texts, pages_of
from tests.print_server import PrintServer
from tests.printer_fixtures import StandIn
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

ORDER = PrintOrder(printer="Office")
ON_TWO_SHEETS = 26
"""Two more than the 24 of a sheet."""


def sheets_of(here: WorkedSite, out: Path, *, count: int = 3) -> PrintedPaper:
    """Sheets of labels that wait."""
    visit = here.visit(date(2026, 11, 23))
    for _ in range(count):
        here.record(here.kettle(), combined(), visit)
    printed = print_labels(here.register, WHO, out=out, count_as_printed=False, today=TODAY)
    return PrintedPaper(file=out, sheets=printed.sheets, what=f"{printed.count} labels", site=here.site.uid)


def sent(here: WorkedSite, paper: PrintedPaper, order: PrintOrder = ORDER) -> SentLabels:
    return print_label_file(here.register, WHO, paper, order, today=TODAY, at="14:05")


def waiting(here: WorkedSite) -> list[str]:
    return [each.appliance.tag for each in waiting_labels(here.register, today=TODAY)]


def test_labels_count_as_printed_when_a_real_queue_took_them_and_their_codes_read_from_what_came_out(
    here: WorkedSite, tmp_path: Path, cups: PrintServer
) -> None:
    paper = sheets_of(here, tmp_path / "l.pdf")
    payloads = {each.text().payload for each in waiting_labels(here.register, today=TODAY)}
    done = sent(here, paper)
    assert (done.counted.printed, waiting(here)) == (3, [])
    out = cups.printed(tmp_path)
    assert set(codes_on(out, dpi=300)) == payloads
    assert pages_of(out) == 1
    (job,) = printed_jobs(here.register)
    assert job == done.job == PrintJob(
        uid=job.uid, number=1, kind=PrintedKind.LABELS, what="3 labels", site=here.site.uid, sheets=1, printer="Office",
        file_hash=sha256(paper.file.read_bytes()).hexdigest(), job=job.job, copies=1, media="A4", on=TODAY, at="14:05",
        author=WHO, labels=tuple(each.uid for each in here.register.find(QueuedLabel)), places=("1:1", "1:2", "1:3"),
    )  # fmt: skip
    assert re.fullmatch(r"Office-\d+", job.job)
    assert list(problems(here.register)) == []


def test_a_real_queue_prints_the_pages_and_copies_asked_for_and_only_those_labels_count(
    here: WorkedSite, tmp_path: Path, cups: PrintServer
) -> None:
    paper = sheets_of(here, tmp_path / "l.pdf", count=ON_TWO_SHEETS)
    done = sent(here, paper, PrintOrder(printer="Office", copies=2, pages="2"))
    assert [len(text.split("HR-0")) - 1 for text in page_texts(cups.printed(tmp_path))] == [2, 2]
    assert (done.counted.printed, done.job.places, done.job.pages) == (2, ("2:1", "2:2"), "2")
    assert len(waiting(here)) == ON_TWO_SHEETS - 2


@pytest.mark.parametrize(
    ("name", "why"), [("Workshop", "is paused (no paper)"), ("Yard", "takes no jobs (being moved)")]
)
def test_a_real_queue_that_is_paused_or_takes_nothing_is_said_before_anything_is_drawn(
    here: WorkedSite, cups: PrintServer, name: str, why: str
) -> None:
    del cups
    with pytest.raises(PrintingRefused, match=re.escape(why)):
        ready_printer(here.register, PrintOrder(printer=name))


def test_labels_that_a_real_queue_refuses_wait_on_and_nothing_is_noted(
    here: WorkedSite, tmp_path: Path, cups: PrintServer
) -> None:
    del cups
    paper = sheets_of(here, tmp_path / "l.pdf")
    with pytest.raises(PrintingRefused, match="The printer Yard did not take it"):
        sent(here, paper, PrintOrder(printer="Yard"))
    assert (len(waiting(here)), printed_jobs(here.register)) == (3, [])


def test_a_document_that_was_printed_is_noted_with_its_file_and_the_next_has_the_next_number(
    here: WorkedSite, tmp_path: Path, stand_in: StandIn
) -> None:
    noted = stand_in("lp", answer="request id is Office-12 (1 file(s))\n")
    out = tmp_path / "r.pdf"
    written = write_site_register(here.register, site=here.site.uid, out=out, today=TODAY)
    paper = PrintedPaper(file=out, sheets=written.pages, what="the register of\n[red] =1+1", site=here.site.uid)
    for number in (1, 2):
        job = print_document(here.register, WHO, paper, ORDER, today=TODAY, at="14:05")
        assert (job.number, job.kind, job.job, job.media) == (number, PrintedKind.DOCUMENT, "Office-12", "A4")
        assert (job.labels, job.places) == ((), ())
    words = noted.read_text().splitlines()
    assert words[words.index("-t") + 1] == "the register of␊[red] =1+1"
    assert [each.number for each in printed_jobs(here.register, site=here.site.uid)] == [2, 1]
    assert list(problems(here.register)) == []


def test_pages_that_a_file_has_not_are_refused_and_nothing_is_sent(
    here: WorkedSite, tmp_path: Path, stand_in: StandIn
) -> None:
    noted = stand_in("lp")
    paper = sheets_of(here, tmp_path / "l.pdf")
    with pytest.raises(InputRefused) as refused:
        sent(here, paper, PrintOrder(printer="Office", pages="2"))
    assert refused.value.field == "pages"
    assert (noted.exists(), len(waiting(here))) == (False, 3)


def test_a_label_that_became_untrue_meanwhile_is_to_be_destroyed_and_does_not_count(
    here: WorkedSite, tmp_path: Path, stand_in: StandIn
) -> None:
    del stand_in
    paper = sheets_of(here, tmp_path / "l.pdf")
    first = waiting_labels(here.register, today=TODAY)[0].appliance
    here.record(first, combined(earth="0.5"))
    done = sent(here, paper)
    assert done.counted.printed == 2
    assert [each.tag for each in done.counted.spoilt] == [first.tag]
    # It came out all the same, so the log has it.
    assert done.job.places == ("1:1", "1:2", "1:3")


def test_a_queue_whose_job_cannot_be_noted_is_told_with_the_job_since_paper_comes_out(
    here: WorkedSite, tmp_path: Path, stand_in: StandIn, monkeypatch: pytest.MonkeyPatch
) -> None:
    del stand_in
    paper = sheets_of(here, tmp_path / "l.pdf")

    @contextmanager
    def refused(_who: str, _reason: str = "") -> Iterator[None]:
        raise InputRefused("Somebody else writes.")
        yield

    monkeypatch.setattr(type(here.register), "change", lambda _self, who, reason="": refused(who, reason))
    with pytest.raises(PrintingRefused, match="The printer Office took it as Office-7, but nothing was noted"):
        sent(here, paper)
    monkeypatch.undo()
    assert (len(waiting(here)), printed_jobs(here.register)) == (3, [])


class TestSpoiled:
    """Labels of a job that came out badly."""

    def test_they_wait_again_by_sheet_and_place(self, here: WorkedSite, tmp_path: Path, stand_in: StandIn) -> None:
        del stand_in
        paper = sheets_of(here, tmp_path / "l.pdf")
        job = sent(here, paper).job
        assert spoil_printed(here.register, WHO, number=job.number, spoiled={(1, 2), (1, 3)}) == 2
        assert waiting(here) == ["HR-002", "HR-003"]
        assert printed_jobs(here.register) == [job]

    @pytest.mark.parametrize(
        ("number", "places", "kind", "words"),
        [
            (1, {(1, 4)}, InputRefused, "No label of job 1 lay at 1:4"),
            (1, set[tuple[int, int]](), InputRefused, "No place is named"),
            (2, {(1, 1)}, NotFound, "No job 2 was printed from this register"),
        ],
        ids=["elsewhere", "nowhere", "another job"],
    )  # fmt: skip
    def test_what_was_not_printed_is_not_spoiled(
        self, prepared: WorkedSite, number: int, places: set[tuple[int, int]], kind: type[AppregError], words: str
    ) -> None:
        with pytest.raises(kind, match=re.escape(words)):
            spoil_printed(prepared.register, WHO, number=number, spoiled=places)
        assert waiting(prepared) == []

    @pytest.fixture
    def prepared(self, here: WorkedSite, tmp_path: Path, stand_in: StandIn) -> WorkedSite:
        del stand_in
        sent(here, sheets_of(here, tmp_path / "l.pdf"))
        return here


def test_a_job_is_one_line_of_the_journal_and_cannot_be_changed(
    here: WorkedSite, tmp_path: Path, stand_in: StandIn
) -> None:
    del stand_in
    sent(here, sheets_of(here, tmp_path / "l.pdf"))
    lines = here.register.rows("SELECT who, reason FROM journal WHERE entity = 'print_job'")
    assert lines == [(WHO, "print 3 labels")]
    with pytest.raises((InputRefused, sqlite3.Error), match="what was printed is never changed"):
        here.register.rows("UPDATE print_job SET printer = 'x'")
