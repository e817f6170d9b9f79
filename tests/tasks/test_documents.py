"""The register of a site and the report of a visit."""

from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from msgspec.structs import replace

from appreg.core.records.checks import LeakageEntry
from appreg.core.records.kept_records import Person, Visit
from appreg.core.values.readings import Unit, parse_reading
from appreg.core.values.uids import Uid
from appreg.errors import Incomplete, NotFound
from appreg.tasks.documents.write_site_register import site_document, write_site_register
from appreg.tasks.documents.write_visit_report import visit_document, write_visit_report
from appreg.tasks.inspecting.record_repair import open_actions, record_repair
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
