"""What a later issue says of the one before it leaves out nothing that both tell."""

from datetime import date

from msgspec.structs import replace

from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import InspectionKind
from appreg.core.records.work_records import RemedialAction
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.documents.report_content import ReportDocument
from appreg.tasks.documents.tell_changes import changes_between
from appreg.tasks.documents.write_site_register import site_document
from appreg.tasks.documents.write_visit_report import reported_document
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

NOTHING = ("Nothing of what this document tells.",)


def register_of(here: WorkedSite, on: date = TODAY) -> RegisterDocument:
    return site_document(here.register, site=here.site.uid, today=on)


def test_a_test_corrected_beneath_a_later_look_is_told_with_its_readings(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit(date(2026, 11, 2))
    wrong = here.record(kettle, combined(earth="0.07"), visit)
    here.record(kettle, Entries(visual=True), kind=InspectionKind.VISUAL)
    before = register_of(here)
    assert changes_between(before, register_of(here)) == NOTHING
    here.record(kettle, combined(earth="0.11"), visit, supersedes=wrong.inspection.uid, reason="slip")
    (test,) = [said for said in changes_between(before, register_of(here)) if "last test" in said]
    assert test.startswith("HR-001: last test was pass of 02 Nov 2026 (earth continuity 0.07 Ω")
    assert "now pass of 02 Nov 2026 (earth continuity 0.11 Ω" in test


def test_an_item_that_has_gone_overdue_since_is_told(here: WorkedSite) -> None:
    here.record(here.kettle(), combined())
    assert changes_between(register_of(here), register_of(here, date(2031, 3, 1))) == (
        "HR-001: overdue was no, now yes.",
    )


def test_metal_that_is_not_earthed_and_the_reason_of_an_interval_are_told(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined())
    before = register_of(here)
    with here.register.change(WHO, "read again") as change:
        change.put(replace(here.again(kettle), unearthed_metal=True, longer_interval_reason="seldom used"))
    metal, interval = changes_between(before, register_of(here))
    assert metal == "HR-001: metal not earthed was no, now yes."
    assert interval.startswith("HR-001: interval was ")
    assert interval.endswith("longer end, because seldom used.")


def test_what_was_done_about_a_failure_of_the_same_visit_is_told(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, combined(earth="0.9"), visit)
    here.record(kettle, combined(), visit)

    def report() -> ReportDocument:
        return reported_document(here.register, visit=visit.uid, today=TODAY)

    before = report()
    assert changes_between(before, report()) == NOTHING
    (action,) = here.register.find(RemedialAction)
    with here.register.change(WHO, "said better") as change:
        change.put(replace(action, repair="a new cord"))
    said = changes_between(before, report())
    assert "HR-001, fail of 24 Nov 2026: remedial action was" in said[0]
    assert "a new cord" in said[0]
    without = replace(before, earlier=())
    assert changes_between(without, before)[0].startswith("HR-001, fail of 24 Nov 2026 (earth continuity 0.9 Ω")
    assert changes_between(without, before)[0].endswith(": added.")
    assert changes_between(before, without)[0].endswith(": no longer listed.")
