"""A notice tells the failure that stands; of one that was put right, when it passed; and of none that does not count."""

from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.errors import NotFound
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.write_notice import failure_notice, write_notice
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.keep_firm import keep_firm
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def test_the_notice_is_of_the_failure_that_stands(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2025, 11, 24)))
    here.record(kettle, combined(earth="0.52"))
    notice = failure_notice(here.register, item=kettle.uid, today=TODAY)
    assert (notice.failed_on, notice.since) == (TODAY, None)
    assert (notice.ask, notice.found_by) == ("Wren A", "Wren A")
    assert notice.done == "withdrawn from use"
    assert len(notice.remedies) == 1
    written = write_notice(here.register, Asked(item=kettle.uid), out=tmp_path / "n.pdf", today=TODAY)
    assert (written.items, written.pages) == (1, 1)


def test_the_notice_names_whoever_sees_to_the_site_or_else_the_firm_with_its_phone(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.52"))
    keep_firm(here.register, WHO, name="Yard Inspections", phone="0555 0199")
    assert failure_notice(here.register, item=kettle.uid, today=TODAY).ask == "Yard Inspections, 0555 0199"
    change_record(here.register, WHO, replace(here.site, responsible="Ola Quist", responsible_contact="0555 0101"))
    assert failure_notice(here.register, item=kettle.uid, today=TODAY).ask == "Ola Quist, 0555 0101"


def test_a_failure_put_right_is_told_with_the_first_pass_after_it(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.52"))
    here.record(kettle, combined(), here.visit(date(2026, 11, 25)))
    here.record(kettle, combined(), here.visit(date(2026, 11, 27)))
    notice = failure_notice(here.register, item=kettle.uid, today=date(2026, 11, 28))
    assert notice.since is not None
    assert notice.since.inspection.date == date(2026, 11, 25)
    assert "passed again" in notice.done


def test_a_failure_whose_record_was_corrected_after_the_pass_is_told_with_that_pass(here: WorkedSite) -> None:
    kettle = here.kettle()
    visit = here.visit()
    failed = here.record(kettle, combined(earth="0.52"), visit)
    here.record(kettle, combined(), here.visit(date(2026, 11, 25)))
    here.record(kettle, combined(earth="0.53"), visit, supersedes=failed.inspection.uid, reason="misread")
    notice = failure_notice(here.register, item=kettle.uid, today=date(2026, 11, 28))
    assert notice.since is not None
    assert notice.since.inspection.date == date(2026, 11, 25)


def test_a_look_that_passes_leaves_the_failure_standing(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.52"))
    here.record(kettle, combined(insulation=""), here.visit(date(2026, 11, 25)))
    assert failure_notice(here.register, item=kettle.uid, today=date(2026, 11, 28)).since is None


def test_without_a_failure_that_counts_there_is_no_notice(here: WorkedSite) -> None:
    kettle = here.kettle()
    failed = here.record(kettle, combined(earth="0.52"))
    take_back_inspection(here.register, WHO, failed.inspection.uid)
    with pytest.raises(NotFound, match="no failure on record"):
        failure_notice(here.register, item=kettle.uid, today=TODAY)
