"""An item that could not be inspected stands in the report with its reason, stays due, and comes back."""

from datetime import date
from pathlib import Path

import pypdfium2
import pytest

from appreg.core.records.work_records import NotInspected, NotInspectedBecause
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.checking.checking import problems
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.inspecting.open_bench import items_for_visit
from appreg.tasks.inspecting.record_not_inspected import not_inspected_on, record_not_inspected
from appreg.tasks.planning.list_due import list_due
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def left_out(
    here: WorkedSite, appliance: Uid, visit: Uid, because: NotInspectedBecause, note: str = ""
) -> NotInspected:
    return record_not_inspected(
        here.register,
        WHO,
        appliance=appliance,
        visit=visit,
        because=because,
        note=note,
    )


def test_an_item_out_of_reach_is_told_stays_due_and_comes_back_on_the_next_visit(
    here: WorkedSite, tmp_path: Path
) -> None:
    seen, locked, refused = here.kettle(), here.kettle(), here.kettle()
    here.record(locked, combined(), here.visit(date(2025, 6, 1)))
    visit = here.visit()
    here.record(seen, combined(), visit)
    kept = left_out(here, locked.uid, visit.uid, NotInspectedBecause.NO_ACCESS, "room let, ask in May")
    left_out(here, refused.uid, visit.uid, NotInspectedBecause.REFUSED)
    assert (kept.date, kept.person) == (TODAY, here.person.uid)
    path = tmp_path / "report.pdf"
    write_visit_report(here.register, visit=visit.uid, out=path, today=TODAY)
    with pypdfium2.PdfDocument(path) as document:
        text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)
    assert "Not inspected (2)" in text
    assert "HR-002 Kettle, Kitchen: no access, room let, ask in May" in text
    assert "HR-003 Kettle, Kitchen: refused" in text
    assert here.again(locked).next_test == date(2026, 6, 1)
    due = {line.appliance.tag for line in list_due(here.register, today=TODAY, within_days=30).lines}
    assert {"HR-002", "HR-003"} <= due
    later = items_for_visit(here.register, here.visit(date(2027, 1, 10)).uid)
    assert [(each.appliance.tag, each.not_inspected) for each in later] == [
        ("HR-001", ""),
        ("HR-002", ""),
        ("HR-003", ""),
    ]
    assert list(problems(here.register)) == []


def test_a_visit_on_which_nothing_could_be_inspected_has_a_report_too(here: WorkedSite, tmp_path: Path) -> None:
    item, visit = here.kettle(), here.visit()
    left_out(here, item.uid, visit.uid, NotInspectedBecause.IN_USE)
    write_visit_report(here.register, visit=visit.uid, out=tmp_path / "r.pdf", today=TODAY)


def test_what_was_inspected_after_all_is_no_longer_out_of_reach(here: WorkedSite) -> None:
    item, visit = here.kettle(), here.visit()
    left_out(here, item.uid, visit.uid, NotInspectedBecause.NOT_FOUND)
    left_out(here, item.uid, visit.uid, NotInspectedBecause.NOT_PRESENTED)
    (only,) = not_inspected_on(here.register, visit.uid)
    assert only.because is NotInspectedBecause.NOT_PRESENTED
    here.record(item, combined(), visit)
    assert not_inspected_on(here.register, visit.uid) == ()
    with pytest.raises(InputRefused, match="HR-001 was inspected on this visit"):
        left_out(here, item.uid, visit.uid, NotInspectedBecause.REFUSED)
