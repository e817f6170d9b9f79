"""A job is several visits, people and instruments of one site, reported as one, and counted by items."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace
from pypdf import PdfReader

from appreg.core.records.appliances import Owner
from appreg.core.records.checks import Entries
from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Appliance, InspectionKind, Instrument, Person, Site, Visit
from appreg.core.records.work_records import NotInspectedBecause
from appreg.errors import Incomplete, InputRefused, NotFound
from appreg.register.engine.places import Place
from appreg.tasks.documents.issue_document import issue_report, print_again
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.write_job_report import job_document, write_job_report
from appreg.tasks.inspecting.keep_job import add_job, job_named, jobs_of, put_in_job, visits_of_job
from appreg.tasks.inspecting.record_not_inspected import record_not_inspected
from appreg.tasks.keeping.verify_register import verify_with_seal
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.keep_firm import keep_firm, own_firm
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

MONDAY, TUESDAY, WEDNESDAY = date(2026, 11, 23), date(2026, 11, 24), date(2026, 11, 25)
LOOK = Entries(visual=True)


def words_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def another_tester(here: WorkedSite) -> tuple[Person, Instrument]:
    return (
        add_person(here.register, WHO, name="Ida Moss", initials="IM", address="1 Yard", qualifications="level 2"),
        add_instrument(here.register, WHO, name="Hand tester", serial="HT-2", calibration_due=date(2027, 1, 31)),
    )


def two_days(here: WorkedSite) -> tuple[Job, Visit, Visit, list[Appliance]]:
    """Three kettles: one tested on both days, one on the second by somebody else, one not inspected."""
    person, tool = another_tester(here)
    first = here.visit(MONDAY)
    second = change_record(here.register, WHO, replace(here.visit(TUESDAY), person=person.uid, instrument=tool.uid))
    kettles = [here.kettle() for _ in range(4)]
    here.record(kettles[0], combined(earth="0.35"), first)
    here.record(kettles[0], combined(), second)
    here.record(kettles[1], combined(), second)
    for visit in (first, second):
        record_not_inspected(
            here.register, WHO, appliance=kettles[2].uid, visit=visit.uid, because=NotInspectedBecause.NO_ACCESS
        )
    job = add_job(
        here.register, WHO, site=here.site.uid, name="Order 7", visits=(first.uid, second.uid),
        extent="the kitchen", limitations="the loft was locked", wiring_report="CR-9", wiring_on=date(2024, 3, 12),
        wiring_next=date(2029, 3, 12), wiring_rcd="30 mA on all sockets", signatory="Nia Holder", notes="key at the lodge",
    )  # fmt: skip
    return job, first, second, kettles


@pytest.fixture
def both(place: Place, tmp_path: Path) -> Iterator[WorkedSite]:
    """The site in a file and in a database."""
    with worked_site(tmp_path, place=place) as here:
        yield here


def test_the_report_of_a_job_counts_items_over_its_visits_and_names_who_did_what(
    here: WorkedSite, tmp_path: Path
) -> None:
    keep_firm(here.register, WHO, name="Moss & Wren", address="1 Yard, Ellarig", phone="01632 960 001")
    job, _, _, kettles = two_days(here)
    change_record(here.register, WHO, replace(here.again(kettles[1]), owner=Owner.TENANT, owner_name="Bo Quill"))
    document = job_document(here.register, job=job.uid, today=TODAY)
    assert [line.appliance.tag for line in document.items] == ["HR-001", "HR-002"]
    assert [each.tag for each in document.not_inspected] == ["HR-003"]
    assert document.untouched == 1
    write_job_report(here.register, job=job.uid, out=tmp_path / "job.pdf", today=TODAY)
    words = words_of(tmp_path / "job.pdf")
    for said in (
        "job Order 7, 23 Nov 2026 to 24 Nov 2026",
        "2 items inspected",
        "firm Moss & Wren 1 Yard, Ellarig 01632 960 001",
        "inspector WA Wren A", "inspector IM Ida Moss",
        "serial BT-1", "serial HT-2",
        "CR-9 of 12 Mar 2024 next due 12 Mar 2029 residual current devices: 30 mA on all sockets",
        "Extent as agreed: the kitchen", "Limitations: the loft was locked",
        "1 further item in service stands in the register of this site, of which this job tells nothing.",
        "HR-003 Kettle, Kitchen: no access, 24 Nov 2026",
        "23 Nov 2026, by WA", "inspected and tested again on 24 Nov 2026, see below",
        "by IM HT-2", "belongs to the tenant: Bo Quill",
        "those of the items in this report that bear my initials, WA,", "signature of Ida Moss, IM",
        "I have received this report for Row Lettings.", "signature of Nia Holder",
    ):  # fmt: skip
        assert said in words, said
    assert "key at the lodge" not in words


def test_a_later_look_hides_no_test_of_the_same_job(here: WorkedSite, tmp_path: Path) -> None:
    first, second = here.visit(MONDAY), here.visit(TUESDAY)
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.07"), first)
    here.record(kettle, LOOK, second, kind=InspectionKind.VISUAL)
    job = add_job(here.register, WHO, site=here.site.uid, name="7", visits=(first.uid, second.uid))
    write_job_report(here.register, job=job.uid, out=tmp_path / "job.pdf", today=TODAY)
    words = words_of(tmp_path / "job.pdf")
    assert "Report of inspection and test" in words
    assert "readings of the last test, 23 Nov 2026, WA:" in words
    assert "0.07 Ω" in words
    assert "looked at only" not in words


def test_an_issued_report_of_a_job_is_the_same_after_everything_changed_and_a_later_issue_says_what(
    both: WorkedSite, tmp_path: Path
) -> None:
    register = both.register
    keep_firm(register, WHO, name="Moss & Wren")
    job, first, _, kettles = two_days(both)
    issued = issue_report(register, WHO, Asked(job=job.uid), out=tmp_path / "one.pdf", today=TODAY)
    assert (issued.document.job, issued.document.visit) == (job.uid, None)
    of_visit = issue_report(register, WHO, Asked(visit=first.uid), out=tmp_path / "visit.pdf", today=TODAY)
    assert (issued.document.called, of_visit.document.called) == ("document 1, issue 1", "document 2, issue 1")
    keep_firm(register, WHO, name="Other Works", phone="1")
    change_record(register, WHO, replace(job, extent="the whole house", wiring_next=date(2025, 1, 1)))
    change_record(register, WHO, replace(both.again(kettles[0]), serial="S-77"))
    third = both.visit(WEDNESDAY)
    both.record(kettles[2], combined(), third)
    put_in_job(register, WHO, visit=third.uid, job=job.uid)
    again = print_again(register, number=1, out=tmp_path / "again.pdf")
    assert again.same
    assert (tmp_path / "again.pdf").read_bytes() == (tmp_path / "one.pdf").read_bytes()
    later = issue_report(register, WHO, Asked(job=job.uid), out=tmp_path / "two.pdf", today=TODAY)
    assert later.document.called == "document 1, issue 2"
    words = words_of(tmp_path / "two.pdf")
    for said in (
        "The job: extent was the kitchen, now the whole house.",
        "The firm: name was Moss & Wren, now Other Works.",
        "The visit of 25 Nov 2026: added.",
        "HR-003 Kettle: added.",
        "next due 01 Jan 2025, which had passed",
    ):
        assert said in words, said
    assert verify_with_seal(register).is_as_it_should_be


def test_a_visit_is_of_one_job_at_its_own_site(here: WorkedSite) -> None:
    register, visit = here.register, here.visit()
    job = add_job(register, WHO, site=here.site.uid, name="Order 7", visits=(visit.uid,))
    with pytest.raises(InputRefused, match="is part of the job Order 7; take it out"):
        add_job(register, WHO, site=here.site.uid, name="Order 8", visits=(visit.uid,))
    assert [each.name for each in jobs_of(register)] == ["Order 7"]
    other = add_site(register, WHO, client=here.client.uid, name="Mole", prefix="MO", environment="low-risk")
    with pytest.raises(InputRefused, match="at another site"):
        add_job(register, WHO, site=other.uid, name="Order 9", visits=(here.visit().uid,))
    with pytest.raises(InputRefused, match="has a job “Order 7” already"):
        add_job(register, WHO, site=here.site.uid, name="order 7")
    put_in_job(register, WHO, visit=visit.uid, job=None)
    assert visits_of_job(register, job.uid) == []
    with pytest.raises(Incomplete, match="No visit to Harbour Row is part of the job Order 7 yet"):
        job_document(register, job=job.uid, today=TODAY)


def test_a_job_is_found_by_its_name_or_key_and_the_firm_is_one(here: WorkedSite) -> None:
    register = here.register
    job = add_job(register, WHO, site=here.site.uid, name="Order 7")
    other = add_site(register, WHO, client=here.client.uid, name="Mole", prefix="MO", environment="low-risk")
    twin = add_job(register, WHO, site=other.uid, name="ORDER 7")
    assert job_named(register, " order  7 ", here.site.uid) == job
    assert job_named(register, twin.uid) == twin
    with pytest.raises(InputRefused, match="2 jobs are called order 7, at Harbour Row, Mole"):
        job_named(register, "order 7")
    with pytest.raises(NotFound, match=r"There is no job 9; the register has ORDER 7, Order 7\."):
        job_named(register, "9")
    first = keep_firm(register, WHO, name="Moss")
    assert keep_firm(register, WHO, name="Wren").uid == first.uid
    assert own_firm(register) == replace(first, name="Wren")
    with pytest.raises(InputRefused, match="firm name"):
        keep_firm(register, WHO, name=" ")


def test_names_of_a_job_are_text_on_its_report(here: WorkedSite, tmp_path: Path) -> None:
    keep_firm(register := here.register, WHO, name="[red]=1+1", phone="Łódź – Ελλάδα")
    visit = here.visit()
    here.record(here.kettle(), combined(), visit)
    change_record(register, WHO, replace(register.get(Site, here.site.uid), name="W" * 300))
    job = add_job(register, WHO, site=here.site.uid, name="[b]7", visits=(visit.uid,), extent="=1+1 " * 60)
    write_job_report(register, job=job.uid, out=tmp_path / "job.pdf", today=TODAY)
    words = words_of(tmp_path / "job.pdf")
    for said in ("job [b]7, 24 Nov 2026", "[red]=1+1 Łódź – Ελλάδα", "=1+1 =1+1", "not issued · job of 24 Nov 2026"):
        assert said in words, said
