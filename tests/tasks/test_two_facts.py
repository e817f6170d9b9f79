"""The last test and the last look are two facts on paper; an interval can be followed; a correction says when and why."""

from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace
from pypdf import PdfReader

from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import InspectionKind
from appreg.core.records.work_records import IntervalKind, IntervalOverride, OverrideScope
from appreg.tasks.documents.write_site_register import write_site_register
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.records.add_person import add_person
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

TESTED_ON, LOOKED_ON = date(2023, 5, 2), date(2026, 11, 24)
LOOK = Entries(visual=True)


def words_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def register_words(here: WorkedSite, out: Path) -> str:
    write_site_register(here.register, site=here.site.uid, out=out, details=True, replace=True, today=TODAY)
    return words_of(out)


def test_a_look_hides_neither_the_last_test_nor_what_it_read(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.07"), here.visit(TESTED_ON))
    other = add_person(here.register, WHO, name="Ida Moss", initials="IM", address="1 Yard", qualifications="level 2")
    visit = replace(here.visit(LOOKED_ON), person=other.uid)
    with here.register.change(WHO) as change:
        change.put(visit)
    here.record(kettle, LOOK, visit, kind=InspectionKind.VISUAL)
    words = register_words(here, tmp_path / "r.pdf")
    for said in (
        "PASS 24 Nov 2026 looked at, not tested last test 02 May 2023, WA: pass",
        "readings of the last test, 02 May 2023, WA:",
        "0.07 Ω",
        "next inspection and test 02 May 2024 overdue",
        "next formal visual inspection 24 May 2027",
        "IM: Ida Moss",
        "WA: Wren A",
    ):
        assert said in words, said
    # The report of the earlier visit knows nothing of what came after it.
    (tested, _) = sorted(here.register.find(type(visit)), key=lambda each: each.date)
    write_visit_report(here.register, visit=tested.uid, out=tmp_path / "t.pdf", today=TODAY)
    report = words_of(tmp_path / "t.pdf")
    assert "Report of inspection and test of electrical appliances" in report
    assert "last look" not in report
    assert "I have inspected and tested the items listed below" in report


def test_nobody_signs_for_a_test_on_a_visit_that_only_looked(here: WorkedSite, tmp_path: Path) -> None:
    visit = here.visit()
    here.record(here.kettle(), LOOK, visit, kind=InspectionKind.VISUAL)
    write_visit_report(here.register, visit=visit.uid, out=tmp_path / "looks.pdf", today=TODAY)
    words = words_of(tmp_path / "looks.pdf")
    assert "Report of formal visual inspection of electrical appliances" in words
    assert "looked at, not tested never tested" in words
    assert "I tested none of them" in words
    assert "none used: nothing was tested" in words
    assert "inspected and tested" not in words
    here.record(here.kettle(), combined(), visit)
    write_visit_report(here.register, visit=visit.uid, out=tmp_path / "both.pdf", today=TODAY)
    words = words_of(tmp_path / "both.pdf")
    assert "Report of inspection and test of electrical appliances" in words
    assert "tested those that are not marked “looked at, not tested”" in words


def test_what_a_look_failed_is_a_failure_beside_the_last_test(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(TESTED_ON))
    here.record(kettle, Entries(visual=False), here.visit(LOOKED_ON), kind=InspectionKind.VISUAL)
    words = register_words(here, tmp_path / "r.pdf")
    assert "FAIL 24 Nov 2026 looked at, not tested last test 02 May 2023, WA: pass withdrawn" in words


def test_an_interval_set_by_hand_says_who_why_and_who_signed_and_a_statute_its_longest(tmp_path: Path) -> None:
    # Housing (Scotland) Act 2006 s. 19B (published): at most five years between inspections and tests.
    with worked_site(tmp_path, landlord_profile="gb-scotland-private") as here:
        kettle = here.kettle()
        override = IntervalOverride(
            uid=here.register.new_uid(),
            scope=OverrideScope.APPLIANCE,
            target=kettle.uid,
            what=IntervalKind.TEST,
            period="P4Y",
            reason="hardly used",
            author="Wren A",
            on=TODAY,
            signed_by_duty_holder=False,
        )
        with here.register.change(WHO) as change:
            change.put(override)
        here.record(kettle, combined())
        words = register_words(here, tmp_path / "r.pdf")
        assert "set for this item by Wren A on 24 Nov 2026: hardly used" in words
        assert "Scotland, private landlord: at most 5 years between tests" in words
        signed = replace(override, signed_by_duty_holder=True, signed_by="Nia Holder", signed_on=TODAY)
        with here.register.change(WHO) as change:
            change.put(signed)
        words = register_words(here, tmp_path / "r.pdf")
        assert "signed by Nia Holder on 24 Nov 2026: hardly used" in words
        assert "Scotland, private landlord: at most 5 years between tests" in words


def test_a_correction_says_on_which_day_and_why(here: WorkedSite, tmp_path: Path) -> None:
    kettle, visit = here.kettle(), here.visit(TESTED_ON)
    wrong = here.record(kettle, combined(earth="0.52"), visit)
    right = here.record(kettle, combined(), visit, supersedes=wrong.inspection.uid, reason="misread")
    write_visit_report(here.register, visit=visit.uid, out=tmp_path / "v.pdf", today=TODAY)
    ((time,),) = here.register.rows("SELECT min(time) FROM journal WHERE uid = ?", (right.inspection.uid,))
    day = date.fromisoformat(time[:10])
    assert f"corrected on {day:%d %b %Y}, because: misread" in words_of(tmp_path / "v.pdf")


@pytest.mark.parametrize(
    "said",
    [
        "CoP: the Code of Practice for In-service Inspection and Testing of Electrical Equipment",
        "Second-hand: the figure is taken from what others have published",
        "Rules gb 2 and the like",
        "Intervals: Maintaining portable electric equipment, suggested initial intervals, 3rd edition 2013",
    ],
)
def test_short_words_are_explained_once(here: WorkedSite, tmp_path: Path, said: str) -> None:
    visit = here.visit()
    for _ in range(2):
        here.record(here.kettle(), combined(), visit)
    write_visit_report(here.register, visit=visit.uid, out=tmp_path / "v.pdf", today=TODAY)
    assert words_of(tmp_path / "v.pdf").count(said) == 1
