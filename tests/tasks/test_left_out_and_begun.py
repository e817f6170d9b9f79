"""A record keeps what was left out and why; a correction is asked for what the record it replaces had begun."""

from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest
from msgspec.structs import replace

from appreg.cli.item_output import inspection_as_json
from appreg.core.judging.methods import LEFT_OUT_BEGINS, Method, method_in, method_text
from appreg.core.judging.several_readings import parse_readings
from appreg.core.records.appliances import RcdKind
from appreg.core.records.checks import Check, Entries, LeakageEntry
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.readings import Unit, parse_reading
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.lists.evidence_rows import finished_inspections
from appreg.register.lists.inspection_lists import findings_of
from appreg.tasks.documents.write_site_register import write_site_register
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.inspecting.open_bench import history_of_item
from appreg.tasks.records.change_record import change_record
from tests.tasks.worked_site import TODAY, WorkedSite, combined

REASON = "no earthed metal can be touched"
WITHOUT_EARTH = replace(combined(earth=""), left_out={Check.EARTH_CONTINUITY: REASON})
LEAKING = replace(combined(), leakage=LeakageEntry(reading=parse_reading("9", Unit.MILLIAMP)))


def pages(path: Path) -> str:
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


def test_a_pass_without_a_check_keeps_the_reason_and_every_paper_says_it(here: WorkedSite, tmp_path: Path) -> None:
    kettle, visit = here.kettle(), here.visit()
    saved = here.record(kettle, WITHOUT_EARTH, visit)
    assert (saved.inspection.outcome, saved.inspection.missing) == (Outcome.PASS, ())
    assert here.again(kettle).last_outcome is Outcome.PASS
    earth = next(each for each in saved.findings if each.check_name == Check.EARTH_CONTINUITY)
    assert (earth.finding, earth.reading) == (CheckResult.NOT_DONE, "")
    told = inspection_as_json(history_of_item(here.register, kettle.uid)[0])
    assert isinstance(told, dict)
    findings = told["findings"]
    assert isinstance(findings, list)
    assert [each["left_out"] for each in findings if isinstance(each, dict)] == [None, REASON, None, None]
    report, register = tmp_path / "report.pdf", tmp_path / "register.pdf"
    write_visit_report(here.register, visit=visit.uid, out=report, today=TODAY)
    write_site_register(here.register, site=here.site.uid, out=register, details=True, today=TODAY)
    for text in (pages(report), pages(register)):
        assert f"limited: earth continuity left out ({REASON})" in text
        assert "left out" in text
    assert "One item was inspected without a check that was left out" in pages(report)


def test_a_reason_is_cleaned_and_an_empty_one_leaves_the_check_open(here: WorkedSite) -> None:
    kettle = here.kettle()
    blank = here.record(kettle, replace(WITHOUT_EARTH, left_out={Check.EARTH_CONTINUITY: "  "}))
    assert blank.inspection.missing == (Check.EARTH_CONTINUITY,)
    with pytest.raises(InputRefused, match="reason for leaving out earth-continuity"):
        here.record(kettle, replace(WITHOUT_EARTH, left_out={Check.EARTH_CONTINUITY: "x" * 5000}))


def test_a_correction_that_empties_what_failed_is_incomplete_and_another_reading_is_one(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    failed = here.record(kettle, LEAKING, visit)
    assert failed.inspection.outcome is Outcome.FAIL
    emptied = here.record(kettle, combined(), visit, supersedes=failed.inspection.uid, reason="mistyped")
    assert (emptied.inspection.outcome, emptied.inspection.missing) == (Outcome.INCOMPLETE, (Check.LEAKAGE,))
    again = here.record(kettle, combined(), visit, supersedes=emptied.inspection.uid, reason="mistyped")
    assert again.inspection.missing == (Check.LEAKAGE,)
    mended = replace(LEAKING, leakage=LeakageEntry(reading=parse_reading("0.09", Unit.MILLIAMP)))
    corrected = here.record(kettle, mended, visit, supersedes=again.inspection.uid, reason="mistyped")
    assert corrected.inspection.outcome is Outcome.PASS


def test_a_correction_leaves_out_nothing_that_was_measured_and_none_of_two_readings(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    readings = parse_readings("0.05/9", Check.EARTH_CONTINUITY)
    two = here.record(kettle, replace(combined(), several={Check.EARTH_CONTINUITY: readings}), visit)
    assert two.inspection.outcome is Outcome.FAIL

    def corrected(entries: Entries, was: Uid) -> Uid:
        saved = here.record(kettle, entries, visit, supersedes=was, reason="mistyped")
        assert saved.inspection.outcome is Outcome.INCOMPLETE
        return saved.inspection.uid

    one = corrected(combined(), two.inspection.uid)
    earth = next(each for each in findings_of(here.register, one) if each.check_name == Check.EARTH_CONTINUITY)
    assert "2 readings stood side by side" in earth.arithmetic
    corrected(WITHOUT_EARTH, one)


def test_a_correction_to_a_look_leaves_what_was_measured_asked_for(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    failed = here.record(kettle, combined(earth="9"), visit)
    look = here.record(
        kettle,
        Entries(visual=True),
        visit,
        kind=InspectionKind.VISUAL,
        supersedes=failed.inspection.uid,
        reason="mistyped",
    )
    assert look.inspection.outcome is Outcome.INCOMPLETE
    assert Check.EARTH_CONTINUITY in look.inspection.missing


def test_a_retest_takes_the_optional_check_again_that_failed(here: WorkedSite) -> None:
    # A book's own order: after a repair repeat that check (CoP ch. 15, from memory).
    kettle = here.kettle()
    here.record(kettle, LEAKING)
    without = here.record(kettle, combined())
    assert (without.inspection.outcome, without.inspection.missing) == (Outcome.INCOMPLETE, (Check.LEAKAGE,))
    mended = replace(LEAKING, leakage=LeakageEntry(reading=parse_reading("0.09", Unit.MILLIAMP)))
    assert here.record(kettle, mended).inspection.outcome is Outcome.PASS
    assert here.record(kettle, combined()).inspection.outcome is Outcome.PASS


def test_a_retest_does_not_ask_for_what_no_longer_applies(here: WorkedSite) -> None:
    lead = here.kettle()
    timed = replace(combined(), rcd_trips={Check.RCD_5X: parse_reading("90", Unit.MILLISECOND)}, rcd_button=True)
    fitted = replace(lead, rcd=RcdKind.GENERAL, rcd_rating_ma=Decimal(30))
    change_record(here.register, "tester", fitted, opened=lead)
    trips = replace(timed, rcd_trips={**timed.rcd_trips, Check.RCD_1X: parse_reading("20", Unit.MILLISECOND)})
    assert here.record(lead, trips).inspection.outcome is Outcome.FAIL
    change_record(
        here.register, "tester", replace(here.again(lead), rcd=None, rcd_rating_ma=None), opened=here.again(lead)
    )
    assert here.record(lead, combined()).inspection.outcome is Outcome.PASS


def test_a_pass_without_a_check_is_evidence_of_the_look_alone_and_a_failure_beside_one_of_the_test(
    here: WorkedSite,
) -> None:
    kettle, other = here.kettle(), here.kettle()
    here.record(kettle, combined())
    here.record(kettle, WITHOUT_EARTH)
    here.record(other, replace(WITHOUT_EARTH, functional=False))
    told = [(each.kind, each.failed) for each in finished_inspections(here.register)]
    assert told == [
        (InspectionKind.COMBINED, False),
        (InspectionKind.VISUAL, False),
        (InspectionKind.COMBINED, True),
    ]


def test_the_text_of_what_is_left_out_begins_as_evidence_looks_for_it() -> None:
    assert method_text(Method(left_out="x")).startswith(LEFT_OUT_BEGINS)
    assert method_in(method_text(Method(left_out='says "why"'))).left_out == 'says "why"'
