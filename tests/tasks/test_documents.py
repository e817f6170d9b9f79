"""The register of a site and the report of a visit."""

from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from msgspec.structs import replace

from appreg.core.records.checks import Entries, LeakageEntry
from appreg.core.records.kept_records import InspectionKind, Person, Visit
from appreg.core.values.readings import Unit, parse_reading
from appreg.core.values.uids import Uid
from appreg.errors import Incomplete, NotFound
from appreg.paper.documents.report_content import ReportDocument
from appreg.paper.documents.report_words import extent_sentences, signing
from appreg.tasks.documents.write_job_report import job_document
from appreg.tasks.documents.write_site_register import site_document, write_site_register
from appreg.tasks.documents.write_visit_report import visit_document, write_visit_report
from appreg.tasks.inspecting.keep_job import add_job
from appreg.tasks.inspecting.record_repair import open_actions, record_repair
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.change_record import change_record
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site


def words_of(path: Path) -> str:
    with pypdfium2.PdfDocument(path) as document:
        pages = [document[at].get_textpage().get_text_bounded() for at in range(len(document))]
    return " ".join(" ".join(pages).split())


def register_words(here: WorkedSite, out: Path) -> str:
    write_site_register(here.register, site=here.site.uid, out=out, today=TODAY)
    return words_of(out)


def report_words(here: WorkedSite, visit: Visit, out: Path) -> str:
    write_visit_report(here.register, visit=visit.uid, out=out, today=TODAY)
    return words_of(out)


def test_the_register_shows_every_item_with_its_latest_result(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2025, 11, 24)))
    here.record(kettle, combined(earth="0.52"))
    here.kettle()
    document = site_document(here.register, site=here.site.uid, today=TODAY)
    assert [(line.appliance.tag, line.failed) for line in document.items] == [("HR-001", True), ("HR-002", False)]
    assert document.items[1].inspection is None
    assert (document.people, document.instruments) == ((here.person,), (here.instrument,))
    words = register_words(here, tmp_path / "r.pdf")
    for expected in ("Harbour Row", "HR-001", "HR-002", "0.52", "0.1208", "BT-1"):
        assert expected in words, expected


def test_the_report_shows_what_was_found_on_its_own_day(here: WorkedSite, tmp_path: Path) -> None:
    kettle, visit = here.kettle(), here.visit(date(2025, 11, 24))
    here.record(kettle, combined(earth="0.52"), visit)
    here.record(kettle, combined())
    document = visit_document(here.register, visit=visit.uid, today=TODAY)
    assert [line.failed for line in document.items] == [True]
    assert "HR-001" in document.defects
    words = report_words(here, visit, tmp_path / "v.pdf")
    for expected in ("HR-001", "0.52", "Wren A", "14 Harbour Row"):
        assert expected in words, expected


def test_a_corrected_inspection_gives_way_to_its_correction(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    wrong = here.record(kettle, combined(earth="0.52"), visit)
    right = here.record(kettle, combined(), visit, supersedes=wrong.inspection.uid, reason="slip")
    document = visit_document(here.register, visit=visit.uid, today=TODAY)
    assert [line.inspection for line in document.items] == [right.inspection]
    assert document.defects.startswith("No defects were found. A failure recorded of HR-001 was corrected")


def test_doubt_is_not_reported_as_the_absence_of_defects(here: WorkedSite) -> None:
    visit = here.visit()
    here.record(here.kettle(), combined(insulation=""), visit)
    assert (
        "HR-001 is incomplete and proves nothing" in visit_document(here.register, visit=visit.uid, today=TODAY).defects
    )


def test_what_was_done_about_a_failure_is_reported(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, combined(earth="0.52"), visit)
    (action,) = open_actions(here.register)
    record_repair(here.register, WHO, action=action.uid, repair="new cord", on=TODAY, told="the tenant")
    (line,) = visit_document(here.register, visit=visit.uid, today=TODAY).items
    assert line.remedial_action == "withdrawn from use; told the tenant; repaired on 24 Nov 2026: new cord"


def test_a_statutory_report_is_refused_naming_everything_that_is_missing(tmp_path: Path) -> None:
    # Housing (Scotland) Act 2006 s. 19B(2)-(3), published: date, address, landlord or agent, inspector with
    # address and qualifications, description and location of each appliance, defects, remedial action.
    with worked_site(tmp_path, landlord_profile="gb-scotland-private", qualifications="") as here:
        visit = here.visit()
        here.record(here.kettle(), combined(), visit)
        change_record(here.register, WHO, replace(here.site, address=""))
        change_record(here.register, WHO, replace(here.client, address=""))
        change_record(here.register, WHO, replace(here.register.get(Person, here.person.uid), address=""))
        out = tmp_path / "v.pdf"
        with pytest.raises(Incomplete) as refusal:
            write_visit_report(here.register, visit=visit.uid, out=out, today=TODAY)
        for missing in (
            "premises inspected",
            "landlord's or agent's address",
            "address of the inspector",
            "qualifications",
        ):
            assert missing in str(refusal.value), missing
        assert not out.exists()
        change_record(here.register, WHO, replace(here.site, address="14 Row"))
        change_record(here.register, WHO, replace(here.client, agent_name="Homes", agent_address="2 Row"))
        change_record(here.register, WHO, replace(here.person, address="5 Yard", qualifications="level 3"))
        assert report_words(here, visit, out)


def test_a_visit_without_an_inspection_has_no_report(here: WorkedSite, tmp_path: Path) -> None:
    with pytest.raises(Incomplete, match="Nothing was inspected at Harbour Row on 24 Nov 2026"):
        write_visit_report(here.register, visit=here.visit().uid, out=tmp_path / "v.pdf", today=TODAY)
    with pytest.raises(NotFound):
        write_visit_report(here.register, visit=Uid("0" * 26), out=tmp_path / "v.pdf", today=TODAY)


def test_equal_registers_are_equal_bytes(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle(), combined())
    for name in ("a.pdf", "b.pdf"):
        write_site_register(here.register, site=here.site.uid, out=tmp_path / name, today=TODAY)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_the_report_says_how_long_the_duty_wants_it_kept(tmp_path: Path) -> None:
    # Housing (Scotland) Act 2006 s. 19B (published): 6 years; England's social landlords from memory.
    said = {
        "gb-scotland-private": "Keep a copy of this report for 6 years (Scotland, private landlord).",
        "gb-england-social": "Keep a copy of this report for 5 years (England, social landlord, from memory: "
        "local rules come first).",
        "gb-scotland-social": "",
    }
    for profile, sentence in said.items():
        (tmp_path / profile).mkdir()
        with worked_site(tmp_path / profile, landlord_profile=profile) as here:
            visit = here.visit()
            here.record(here.kettle(), combined(), visit)
            assert visit_document(here.register, visit=visit.uid, today=TODAY).keeping == sentence


def test_dates_stand_as_the_people_of_the_book_write_them_and_a_book_that_is_not_whole_says_so(
    here: WorkedSite, tmp_path: Path
) -> None:
    change_record(here.register, WHO, replace(here.person, firm="Wren & Daughters"))
    kettle, visit = here.kettle(), here.visit()
    here.record(kettle, combined(), visit)
    british = report_words(here, visit, tmp_path / "gb.pdf")
    assert "24 Nov 2026" in british
    assert "24.11.2026" not in british
    assert "Wren & Daughters" in british
    site = replace(here.site, rule_book="eu", interval_table="", environment="office")
    change_record(here.register, WHO, site)
    second = here.visit()
    leakage = LeakageEntry(reading=parse_reading("0.1", Unit.MILLIAMP))
    here.record(kettle, replace(combined(), leakage=leakage), second)
    for words in (report_words(here, second, tmp_path / "r.pdf"), register_words(here, tmp_path / "s.pdf")):
        assert "24.11.2026" in words
        assert "24 Nov 2026" not in words
        assert "EN 50699 recurrent test (eu 2, limits and intervals only)" in words


def put(here: WorkedSite, visit: Visit, **changes: object) -> Visit:
    """Change a visit whose inspections stand, as lines of another register that are taken in may."""
    with here.register.change(WHO, "visit") as change:
        change.put(replace(visit, **changes))
    return here.register.get(Visit, visit.uid)


def test_a_day_with_two_instruments_and_two_people_names_all_four_each_with_its_calibration(
    here: WorkedSite, tmp_path: Path
) -> None:
    other = add_person(here.register, WHO, name="Ida Moss", initials="IM", address="1 Yard", qualifications="level 2")
    spare = add_instrument(here.register, WHO, name="Hand tester", serial="HT-2", calibration_due=date(2026, 11, 1))
    visit = put(here, here.visit(), instrument_check="leads nulled")
    here.record(here.kettle(), combined(), visit)
    here.record(here.kettle(), combined(), put(here, visit, person=other.uid, instrument=spare.uid))
    put(here, visit)
    document = visit_document(here.register, visit=visit.uid, today=TODAY)
    assert (document.people, document.instruments) == ((here.person, other), (here.instrument, spare))
    assert [each.name for each in signing(document)] == ["Wren A", "Ida Moss"]
    words = report_words(here, visit, tmp_path / "v.pdf")
    for expected in (
        "serial BT-1", "calibration due 30 Apr 2027", "checked on the day: leads nulled",
        "serial HT-2", "calibration LAPSED on 01 Nov 2026", "check of the day not recorded",
        "Caution: the instrument's calibration had lapsed", "signature of Ida Moss, IM", "by WA BT-1", "by IM HT-2",
    ):  # fmt: skip
        assert expected in words, expected


def test_a_test_that_a_later_look_hides_still_names_its_instrument(here: WorkedSite) -> None:
    spare = add_instrument(here.register, WHO, name="Hand tester", serial="HT-2", calibration_due=date(2027, 1, 31))
    visit, kettle = here.visit(), here.kettle()
    here.record(kettle, combined(), put(here, visit, instrument=spare.uid))
    here.record(kettle, Entries(visual=True), put(here, visit), kind=InspectionKind.VISUAL)
    document = visit_document(here.register, visit=visit.uid, today=TODAY)
    assert document.instruments == (here.instrument, spare)


def test_a_report_of_one_of_two_visits_of_a_day_says_that_there_is_another_and_with_which_instrument(
    here: WorkedSite,
) -> None:
    spare = add_instrument(here.register, WHO, name="Hand tester", serial="HT-2", calibration_due=date(2027, 1, 31))
    first, second, idle = here.visit(), replace(here, instrument=spare).visit(), here.visit()
    here.record(here.kettle(), combined(), first)
    here.record(here.kettle(), combined(), second)
    job = add_job(here.register, WHO, site=here.site.uid, name="Day", visits=(first.uid, second.uid))

    def said(document: ReportDocument) -> list[str]:
        return [each for each in extent_sentences(document) if "on another visit too" in each]

    assert said(visit_document(here.register, visit=first.uid, today=TODAY)) == [
        (
            "On 24 Nov 2026 items were inspected here on another visit too, by Wren A, with Hand tester, serial HT-2: "
            "this report does not tell of them."
        )
    ]
    assert said(job_document(here.register, job=job.uid, today=TODAY)) == []
    assert idle.uid not in {each.visit.uid for each in job_document(here.register, job=job.uid, today=TODAY).beside}
