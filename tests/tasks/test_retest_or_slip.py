"""After a failure a pass needs what was put right; a correction takes no failure and no repair off the report."""

from pathlib import Path

import pypdfium2
import pytest
from msgspec.structs import replace

from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.errors import InputRefused
from appreg.tasks.documents.write_visit_report import visit_document, write_visit_report
from appreg.tasks.inspecting.record_repair import open_actions, record_repair
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

BAD = combined(earth="0.52")


def test_nothing_passes_after_a_failure_until_somebody_says_what_was_put_right(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, replace(combined(), visual=False))
    with pytest.raises(InputRefused, match=r"HR-001 failed on 24 Nov 2026: say in a line what was put right"):
        here.record(kettle, combined(), put_right="")
    assert here.again(kettle).last_outcome is Outcome.FAIL
    saved = here.record(kettle, combined(), put_right="new door")
    assert saved.inspection.outcome is Outcome.PASS
    (action,) = here.register.find(RemedialAction)
    assert (action.repair, action.repaired_on, action.closed_by) == ("new door", TODAY, saved.inspection.uid)


def test_a_repair_recorded_before_is_enough_and_stays_as_it_was_told(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, BAD)
    record_repair(here.register, WHO, action=open_actions(here.register)[0].uid, repair="new cord", on=TODAY)
    assert here.record(kettle, combined(), put_right="").inspection.outcome is Outcome.PASS
    assert here.register.find(RemedialAction)[0].repair == "new cord"


def test_a_further_failure_and_a_doubt_ask_for_nothing(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, BAD)
    assert here.record(kettle, combined(earth=""), put_right="").inspection.outcome is Outcome.INCOMPLETE
    assert here.record(kettle, BAD, put_right="").inspection.outcome is Outcome.FAIL


def test_the_report_tells_a_failure_its_repair_and_the_retest_and_counts_one_item(
    here: WorkedSite, tmp_path: Path
) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, BAD, visit)
    here.record(kettle, combined(), visit, put_right="earth tag cleaned")
    document = visit_document(here.register, visit=visit.uid, today=TODAY)
    assert [line.inspection.outcome for line in document.items if line.inspection] == [Outcome.PASS]
    text = report_text(here, visit.uid, tmp_path)
    for words in ("0.52", "earth tag cleaned", "Defects were found on HR-001", "tested again on 24 Nov 2026"):
        assert words in text
    assert "1 item inspected" in text
    assert "Items inspected (1)" in text


def test_correcting_after_a_repair_and_a_retest_takes_neither_off_the_report(here: WorkedSite, tmp_path: Path) -> None:
    kettle, visit = here.kettle(), here.visit()
    failed = here.record(kettle, BAD, visit)
    record_repair(here.register, WHO, action=open_actions(here.register)[0].uid, repair="new cord", on=TODAY)
    here.record(kettle, combined(), visit, supersedes=failed.inspection.uid, reason="mistyped, I thought")
    text = report_text(here, visit.uid, tmp_path)
    for words in ("0.52", "new cord", "mistyped, I thought", "Defects were found on HR-001"):
        assert words in text


def test_a_slip_corrected_is_told_but_is_no_defect(here: WorkedSite, tmp_path: Path) -> None:
    kettle, visit = here.kettle(), here.visit()
    failed = here.record(kettle, BAD, visit)
    here.record(kettle, combined(), visit, supersedes=failed.inspection.uid, reason="mistyped")
    text = report_text(here, visit.uid, tmp_path)
    assert "No defects were found. A failure recorded of HR-001 was corrected, as listed above" in text
    assert "0.52" in text


def report_text(here: WorkedSite, visit: str, folder: Path) -> str:
    path = folder / "report.pdf"
    write_visit_report(here.register, visit=visit, out=path, today=TODAY)  # type: ignore[arg-type]
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)
