"""An issued document is printed again as it was, bears a seal that the register answers to, and is followed by later issues."""

import os
import shutil
import sqlite3
import stat
import tempfile
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from functools import partial
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import pytest
from msgspec.structs import replace
from pypdf import PdfReader

from appreg.core.records.issued_documents import SHORT_SCOPE, DocumentKind, IssuedDocument
from appreg.core.records.kept_records import Appliance, Client, Instrument, Person, Site, Visit
from appreg.core.records.seals import DocumentSeal, seal_in
from appreg.errors import InputRefused, NotFound, RegisterUnusable
from appreg.paper.page import page_flow
from appreg.progress import Progress, Stopped
from appreg.register.engine.places import Place
from appreg.register.history import as_it_stood as as_it_stood_module
from appreg.register.history.as_it_stood import as_it_stood
from appreg.register.history.journal import history_of
from appreg.register.journal.journal_ends import journal_end
from appreg.register.opening.register_file import open_register
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE
from appreg.tasks.documents.issue_document import IssuedPaper, issue_register, issue_report, print_again
from appreg.tasks.documents.list_issued import list_issued
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.keeping.verify_register import verify_with_seal
from appreg.tasks.records.change_record import change_record
from tests.paper.pdf_reading import codes_on, whole_text
from tests.register.tampering import rechain
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

LATER = date(2031, 3, 1)


def words_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def seal_on(path: Path) -> DocumentSeal:
    """The seal as a scanner reads it off the first page."""
    (code,) = codes_on(path)
    return seal_in(code)


def report(here: WorkedSite, visit: Visit, out: Path) -> IssuedPaper:
    return issue_report(here.register, WHO, Asked(visit=visit.uid), out=out, today=TODAY)


def change_every_fact(here: WorkedSite, item: Appliance) -> None:
    """Another owner, address, inspector, instrument, calibration, serial, cord, tag; a failure; and the item is gone."""
    get = here.register.get
    with here.register.change(WHO, "everything changes") as change:
        change.put(replace(get(Client, here.client.uid), name="Other Homes", address="9 Mole", agent_name="An Agent"))
        change.put(replace(get(Site, here.site.uid), name="Quay House", address="2 Mole", prefix="QH", guarded=True))
        change.put(replace(here.kitchen, name="Hall"))
        change.put(replace(get(Person, here.person.uid), name="Other", initials="OT", qualifications="none", firm="F"))
        change.put(replace(get(Instrument, here.instrument.uid), serial="X-9", calibration_due=date(2020, 1, 1)))
        change.put(replace(here.again(item), serial="S-77", tag="QH-900", name="Urn", cord_length_m=None, make="Brew"))
    here.record(here.again(item), combined(earth="0.9"))


@pytest.fixture
def both(place: Place, tmp_path: Path) -> Iterator[WorkedSite]:
    """The site in a file and in a database."""
    with worked_site(tmp_path, place=place) as here:
        yield here


def test_what_was_issued_is_printed_again_byte_for_byte_after_every_fact_has_changed(
    both: WorkedSite, tmp_path: Path
) -> None:
    kettle, visit = both.kettle(), both.visit()
    both.record(kettle, combined(earth="0.07"), visit)
    issued = report(both, visit, tmp_path / "report.pdf")
    of_site = issue_register(both.register, WHO, Asked(site=both.site.uid), out=tmp_path / "register.pdf", today=TODAY)
    assert (issued.document.called, of_site.document.called) == ("document 1, issue 1", "document 2, issue 1")
    change_every_fact(both, kettle)
    for number, name in ((1, "report.pdf"), (2, "register.pdf")):
        again = print_again(both.register, number=number, out=tmp_path / f"again-{name}")
        assert again.same
        assert (tmp_path / f"again-{name}").read_bytes() == (tmp_path / name).read_bytes()
        assert again.document.file_hash == sha256((tmp_path / name).read_bytes()).hexdigest()
        seal = seal_on(tmp_path / name)
        assert verify_with_seal(both.register, asked=seal).answer == "contained"
        assert str(seal) in words_of(tmp_path / name)
    words = words_of(tmp_path / "report.pdf")
    assert "Document 1, issue 1, of 24 Nov 2026" in words
    assert all(word not in words for word in ("Quay House", "Other Homes", "S-77", "QH-900", "Hall", "X-9"))


def test_what_a_later_version_sets_otherwise_says_so_itself(
    here: WorkedSite, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, combined(earth="0.07"), visit)
    report(here, visit, tmp_path / "report.pdf")
    issue_register(here.register, WHO, Asked(site=here.site.uid), out=tmp_path / "register.pdf", today=TODAY)
    monkeypatch.setattr(page_flow, "FOOT", 30.0)
    for number, name in ((1, "report"), (2, "register")):
        again = print_again(here.register, number=number, out=tmp_path / f"again-{name}.pdf")
        assert not again.same
        assert "printed again, set otherwise than the one that was issued" in words_of(tmp_path / f"again-{name}.pdf")
        assert "set otherwise" not in words_of(tmp_path / f"{name}.pdf")
    assert "0.07 Ω" in words_of(tmp_path / "again-register.pdf"), "an issued register holds every reading"


def test_a_later_state_is_a_new_issue_that_says_what_changed_since(here: WorkedSite, tmp_path: Path) -> None:
    kettle, visit = here.kettle(), here.visit()
    wrong = here.record(kettle, combined(earth="0.07"), visit)
    report(here, visit, tmp_path / "first.pdf")
    here.record(kettle, combined(earth="0.52"), visit, supersedes=wrong.inspection.uid, reason="slip")
    with here.register.change(WHO, "moved") as change:
        change.put(replace(here.site, address="2 Mole", notes="the key is under the pot"))
        change.put(replace(here.again(kettle), serial="S-77"))
    second = report(here, visit, tmp_path / "second.pdf")
    assert second.document.called == "document 1, issue 2"
    words = words_of(tmp_path / "second.pdf")
    for said in (
        "Changed since issue 1",
        "The site: address was 14 Harbour Row, now 2 Mole.",
        "HR-001: serial was not stated, now S-77.",
        "HR-001: result was pass of 24 Nov 2026 (earth continuity 0.07 Ω",
        "now fail of 24 Nov 2026 (earth continuity 0.52 Ω",
    ):
        assert said in words, said
    assert "under the pot" not in words
    assert print_again(here.register, number=1, issue=1, out=tmp_path / "one.pdf").same
    assert print_again(here.register, number=1, out=tmp_path / "two.pdf").document.issue == 2
    assert (tmp_path / "two.pdf").read_bytes() == (tmp_path / "second.pdf").read_bytes()
    third = report(here, visit, tmp_path / "third.pdf")
    assert third.document.issue == 3
    assert "Nothing of what this document tells." in words_of(tmp_path / "third.pdf")


def test_issuing_is_a_change_that_the_journal_tells_and_lists_show(here: WorkedSite, tmp_path: Path) -> None:
    visit = here.visit()
    here.record(here.kettle(), combined(), visit)
    end = journal_end(here.register.rows)
    issued = report(here, visit, tmp_path / "r.pdf").document
    assert (issued.kind, issued.position, issued.head) == (DocumentKind.REPORT, end.line, end.hash)
    (line,) = history_of(here.register, issued.uid)
    assert (line.who, line.reason) == (WHO, "issue document 1, issue 1")
    (listed,) = list_issued(here.register, site=here.site.uid)
    assert (listed.document, listed.latest, listed.seal) == (issued, True, seal_on(tmp_path / "r.pdf"))
    with pytest.raises(InputRefused, match="never changed"), here.register.change(WHO) as change:
        change.put(replace(issued, scope="another"))
    with pytest.raises(NotFound, match="No document 7 was issued"):
        print_again(here.register, number=7, out=tmp_path / "x.pdf")


def test_a_file_that_cannot_be_written_leaves_no_issue(here: WorkedSite, tmp_path: Path) -> None:
    visit = here.visit()
    here.record(here.kettle(), combined(), visit)
    (tmp_path / "there.pdf").write_text("kept")
    with pytest.raises(InputRefused):
        report(here, visit, tmp_path / "there.pdf")
    assert here.register.find(IssuedDocument) == []
    assert (tmp_path / "there.pdf").read_text() == "kept"


def test_what_is_printed_without_being_issued_says_so_and_has_its_seal(here: WorkedSite, tmp_path: Path) -> None:
    visit = here.visit()
    here.record(here.kettle(), combined(), visit)
    write_visit_report(here.register, visit=visit.uid, out=tmp_path / "r.pdf", today=LATER)
    assert "A print of the state of 01 Mar 2031, not issued" in words_of(tmp_path / "r.pdf")
    assert verify_with_seal(here.register, asked=seal_on(tmp_path / "r.pdf")).answer == "contained"
    assert here.register.find(IssuedDocument) == []


def test_its_seal_tells_of_an_earlier_line_rewritten_with_all_hashes_worked_out_anew(
    here: WorkedSite, tmp_path: Path
) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, combined(earth="0.52"), visit)
    report(here, visit, tmp_path / "r.pdf")
    seal = seal_on(tmp_path / "r.pdf")
    forged = tmp_path / "forged.sqlite"
    here.register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    shutil.copy(here.register.path, forged)
    with closing(sqlite3.connect(forged, isolation_level=None)) as raw:
        guards = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in guards:
            raw.execute(f"DROP TRIGGER {name}")
        raw.execute("UPDATE journal SET who = 'somebody else' WHERE sequence = 20")
        rechain(raw)
        for _, sql in guards:
            raw.execute(sql)
    with open_register(forged) as register:
        found = verify_with_seal(register, asked=seal)
        assert found.problems == ()
        assert found.answer.startswith("another history")
        with pytest.raises(RegisterUnusable, match=f"no longer what it was up to line {seal.seal.position}"):
            print_again(register, number=1, out=tmp_path / "again.pdf")
    assert not (tmp_path / "again.pdf").exists()


def test_a_seal_of_another_register_is_told_as_such(here: WorkedSite) -> None:
    end = journal_end(here.register.rows)
    seal = seal_in(f"{'Z' * 6} {end.line} {end.hash[:20]}")
    assert verify_with_seal(here.register, asked=seal).answer == "of another register"


def test_a_register_as_it_stood_at_its_end_is_the_register(both: WorkedSite) -> None:
    kettle, visit = both.kettle(), both.visit()
    both.record(kettle, combined(earth="0.52"), visit)
    change_every_fact(both, kettle)
    end = journal_end(both.register.rows)
    with as_it_stood(both.register, end.line, end.hash) as then:
        for table in JOURNALLED:
            kind = KINDS_BY_TABLE[table].record
            assert then.find(kind) == both.register.find(kind), table
        draft = then.path
    assert list(draft.parent.glob(f"{draft.name}*")) == []


def _answer(answers: Iterator[bool], _done: int, _total: int) -> bool:
    return next(answers)


def test_a_later_issue_goes_on_telling_how_far_it_is_and_may_be_stopped_all_the_time(
    here: WorkedSite, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(as_it_stood_module, "_AT_ONCE", 5)
    visit = here.visit()
    here.record(here.kettle(), combined(), visit)
    report(here, visit, tmp_path / "1.pdf")
    told: list[float] = []

    def progress(done: int, total: int) -> bool:
        told.append(done / total)
        return True

    def issue(out: Path, told: Progress) -> None:
        issue_report(here.register, WHO, Asked(visit=visit.uid), out=out, today=TODAY, progress=told)

    issue(tmp_path / "2.pdf", progress)
    assert told == sorted(told)
    assert (told[-1], max(later - one for one, later in pairwise(told)) < 0.25) == (1, True)
    assert len([done for done in told if 0.11 < done < 0.4]) > 1  # the records follow from the lines
    for last in range(0, len(told), 5):
        left = iter([*(True for _ in range(last)), False])
        with pytest.raises(Stopped):
            issue(tmp_path / "3.pdf", partial(_answer, left))
    assert not (tmp_path / "3.pdf").exists()
    assert len(here.register.find(IssuedDocument)) == 2


def test_a_register_as_it_stood_that_a_killed_program_left_goes_with_the_next(
    here: WorkedSite, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder := tmp_path / "temporary").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    end = journal_end(here.register.rows)
    child = os.fork()
    if child == 0:
        with here.register.reopen() as own, as_it_stood(own, end.line, end.hash):
            os._exit(9)
    os.waitpid(child, 0)
    (left,) = {each.name.partition("-wal")[0].partition("-shm")[0] for each in folder.iterdir()}
    assert stat.S_IMODE((folder / left).stat().st_mode) == 0o600
    with as_it_stood(here.register, end.line, end.hash):
        assert not (folder / left).exists()
    assert list(folder.iterdir()) == []


def test_a_register_issued_without_its_annex_is_printed_again_without_it_and_the_next_issue_says_so(
    here: WorkedSite, tmp_path: Path
) -> None:
    change_record(here.register, WHO, replace(here.site, name=f"x, {SHORT_SCOPE}y"))
    here.record(here.kettle(), combined(earth="0.0777"))
    one, two = tmp_path / "one.pdf", tmp_path / "two.pdf"
    full = issue_register(here.register, WHO, Asked(site=here.site.uid), out=one, today=TODAY)
    short = issue_register(here.register, WHO, Asked(site=here.site.uid, details=False), out=two, today=TODAY)
    assert (full.document.is_short, short.document.is_short) == (False, True), "whatever the site is called"
    assert ("0.0777" in whole_text(one), "0.0777" in whole_text(two)) == (True, False)
    assert "The readings of each item: left out of this issue" in " ".join(whole_text(two).split())
    for issue, first in ((1, one), (2, two)):
        again = print_again(here.register, number=1, issue=issue, out=tmp_path / f"again-{issue}.pdf")
        assert again.same
        assert (tmp_path / f"again-{issue}.pdf").read_bytes() == first.read_bytes()
