"""The notice on a failed item: whoever reads it must not use the item, and a failure that was put right is not hidden."""

from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.judging.remedies import REMEDIES, remedies_for
from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check
from appreg.paper.documents.item_lines import LastTime
from appreg.paper.documents.notice_content import FailureNotice
from appreg.paper.documents.notice_document import drawn_notice
from appreg.paper.page.sheet_size import SheetSize
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.paper_samples import KETTLE, SITE, TOASTER, TODAY
from tests.paper.pdf_reading import darkness, page_image, pages_of, whole_text

NOTICE = FailureNotice(
    item=TOASTER,
    site=SITE,
    failed_on=TODAY,
    found_by="Ada Bramley",
    ask="Ola Quist, 0555 0101",
    remedies=remedies_for(["earth-continuity"]),
    done="withdrawn from use",
    printed=TODAY,
)


def notice_text(notice: FailureNotice, folder: Path) -> str:
    out = folder / "notice.pdf"
    out.write_bytes(drawn_notice(notice).content)
    return " ".join(whole_text(out).split())


@pytest.mark.parametrize("size", SheetSize)
def test_a_notice_says_not_to_use_the_item_what_failed_whom_to_ask_and_what_would_put_it_right(
    size: SheetSize, tmp_path: Path
) -> None:
    text = notice_text(replace(NOTICE, size=size), tmp_path)
    for words in ("DO NOT USE", "HR-002", "Toaster", "earth continuity", "0.35 Ω", "≤ 0.1208 Ω", "24 Nov 2026", "Ada Bramley",
                  "Ola Quist, 0555 0101", "screw in the plug loose", "tighten or renew it", "withdrawn from use", "second-hand"):  # fmt: skip
        assert words in text, words
    assert "insulation" not in text
    assert pages_of(tmp_path / "notice.pdf") == 1


def test_the_words_that_forbid_its_use_are_on_a_black_bar_over_the_sheet(tmp_path: Path) -> None:
    notice_text(NOTICE, tmp_path)
    picture = page_image(tmp_path / "notice.pdf", dpi=72)
    assert max(darkness(picture, (30, top, 120, top + 3), dpi=72) for top in range(20, 70)) > 0.9


def test_a_failure_that_was_put_right_stays_on_its_notice_with_the_day_of_the_pass(tmp_path: Path) -> None:
    passed = KETTLE.inspection
    assert passed is not None
    since = LastTime(inspection=replace(passed, date=date(2026, 12, 1)), person="AB")
    text = notice_text(replace(NOTICE, since=since), tmp_path)
    assert "Failed on 24 Nov 2026. Passed inspection and test since, on 01 Dec 2026 (AB)." in text
    assert "DO NOT USE" not in text
    assert "0.35 Ω" in text


def test_an_item_that_passed_but_is_out_of_service_is_not_given_back_by_a_notice(tmp_path: Path) -> None:
    passed = KETTLE.inspection
    assert passed is not None
    withdrawn = replace(TOASTER, appliance=replace(TOASTER.appliance, state=ServiceState.WITHDRAWN))
    notice = replace(NOTICE, item=withdrawn, since=LastTime(inspection=passed, person="AB"))
    assert "was withdrawn: not to be used" in notice_text(notice, tmp_path)


def test_whatever_an_item_is_called_its_notice_says_what_it_says(tmp_path: Path) -> None:
    names = " / ".join(HOSTILE_NAMES)
    item = replace(TOASTER, appliance=replace(TOASTER.appliance, name=names), remedial_action="word " * 60)
    text = notice_text(replace(NOTICE, item=item, ask="=1+1 [red]"), tmp_path)
    for words in ("DO NOT USE", "=1+1 [red]", "page 1 of", "What was done so far"):
        assert words in text, words


def test_every_check_has_something_that_would_put_it_right_and_each_is_said_once() -> None:
    assert set(REMEDIES) == set(Check)
    assert len(remedies_for(["rcd-1x", "rcd-5x", "rcd-button"])) == 1
    assert remedies_for(["not a check"]) == ()
