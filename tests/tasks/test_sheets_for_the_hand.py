"""Sheets for the hand: checklist, summary, slip, card and a location's list say what the register has, and no doubt is a pass."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import Appliance, InspectionKind
from appreg.core.records.work_records import Movement
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.paper.documents.summary_document import drawn_summary
from appreg.tasks.documents.chosen_items import ItemChoice
from appreg.tasks.documents.paper_kinds import PAPERS, Ask, Asked, Of, PaperKind, paper_named
from appreg.tasks.documents.tell_room import room_document
from appreg.tasks.documents.write_check_card import check_card
from appreg.tasks.documents.write_paper import write_paper
from appreg.tasks.documents.write_slip import issue_slip
from appreg.tasks.documents.write_summary import duty_summary
from appreg.tasks.documents.write_walk_round import walk_round_list
from appreg.tasks.items.record_movement import record_movement
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.paper.pdf_reading import page_texts, pages_of, whole_text
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

LATER = date(2028, 3, 1)
HOSTILE = "[red] =1+1 Łódź – Ελλάδα אבג ابج 漢字 \x7f " + "long " * 40


@pytest.fixture
def stood(here: WorkedSite) -> WorkedSite:
    """HR-001 passed, HR-002 failed, HR-003 never inspected, HR-004 missing, HR-005 gone."""
    for _ in range(5):
        here.kettle()
    items = {str(each.tag): each for each in _items(here)}
    here.record(items["HR-001"], combined(), here.visit(date(2026, 11, 20)))
    here.record(items["HR-002"], combined(earth="0.52"), here.visit(date(2026, 11, 20)))
    set_service_state(here.register, WHO, appliance=items["HR-004"].uid, state=ServiceState.MISSING)
    set_service_state(here.register, WHO, appliance=items["HR-005"].uid, state=ServiceState.DISPOSED)
    return here


def _items(here: WorkedSite) -> Iterator[Appliance]:
    yield from here.register.find(Appliance)


def uid_of(here: WorkedSite, tag: str) -> Uid:
    return next(each.uid for each in _items(here) if each.tag == tag)


def text_of(here: WorkedSite, name: str, out: Path, told: Asked | None = None, *, today: date = TODAY) -> str:
    asked = told or Asked(site=here.site.uid)
    write_paper(here.register, paper_named(name), asked, out=out, today=today)
    return " ".join(whole_text(out).split())


def test_the_checklist_has_all_that_should_be_there_with_last_results_and_blank_lines(
    stood: WorkedSite, tmp_path: Path
) -> None:
    text = text_of(stood, "walk-round", tmp_path / "w.pdf")
    for words in (
        "Walk-round checklist", "4 items in 1 location", "Kitchen (4 items)", "tested 20 Nov 2026, WA: pass", "0.08 Ω · >299 MΩ",
        "DO NOT USE: failed, not passed since; withdrawn", "never inspected", "missing when last looked for", "tag and item", "no inspection until it is entered",
    ):  # fmt: skip
        assert words in text, words
    assert "HR-005" not in text


def test_a_look_stands_beside_the_test_on_the_checklist_and_does_not_hide_it(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2025, 11, 20)))
    here.record(kettle, Entries(visual=True), here.visit(TODAY), kind=InspectionKind.VISUAL)
    ((line,),) = (
        room.items for room in walk_round_list(here.register, ItemChoice(site=here.site.uid), today=TODAY).rooms
    )
    assert line.last_test is not None
    assert line.last_look is not None
    assert (line.last_test.inspection.date, line.last_look.inspection.date) == (date(2025, 11, 20), TODAY)
    assert [each.reading for each in line.tested if each.unit] == ["0.08", ">299"]


def test_the_summary_counts_names_failures_and_says_what_to_do_by_when(stood: WorkedSite, tmp_path: Path) -> None:
    told = duty_summary(stood.register, stood.site.uid, today=LATER)
    assert {word: number for number, word in told.counts} == {
        "items": 4, "failed": 1, "overdue": 1, "never inspected": 1, "withdrawn from use": 1, "missing": 1,
    }  # fmt: skip
    assert told.failed == ("HR-002  Kettle, Kitchen: failed on 20 Nov 2026, withdrawn",)
    assert told.overdue[0].startswith("HR-001  Kettle, Kitchen: since ")
    assert [when for when, _ in told.to_do] == ["now"] * 4
    text = text_of(stood, "summary", tmp_path / "s.pdf", today=LATER)
    assert "Put right or scrap: failed, not passed since (1)" in text
    assert "neither the register nor a report of inspection" in text


def test_the_months_of_the_summary_hold_every_date_that_comes_within_them(stood: WorkedSite) -> None:
    told = duty_summary(stood.register, stood.site.uid, today=TODAY)
    passed = next(each for each in _items(stood) if each.tag == "HR-001")
    due = [each for each in (passed.next_visual, passed.next_test) if each and (each - TODAY).days < 330]
    assert sum(month.looks + month.tests for month in told.months) == len(due) > 0
    assert (len(told.months), told.months[0].month, told.months[-1].month) == (12, "Nov 26", "Oct 27")


def test_the_summary_stays_on_one_page_and_counts_what_it_does_not_list(stood: WorkedSite, tmp_path: Path) -> None:
    told = duty_summary(stood.register, stood.site.uid, today=LATER)
    crowded = replace(
        told,
        site=replace(told.site, name=HOSTILE * 3, address=HOSTILE),
        failed=(HOSTILE,) * 60,
        overdue=("HR-001  Kettle",) * 500,
    )
    out = tmp_path / "s.pdf"
    out.write_bytes(drawn_summary(crowded).content)
    (text,) = page_texts(out)
    listed = text.count("HR-001  Kettle")
    assert 0 < listed < 500
    assert f"and {500 - listed} more, listed in the register of the site" in text


def test_a_slip_tells_the_age_of_the_last_test_and_who_has_the_item(here: WorkedSite, tmp_path: Path) -> None:
    kettle, other = here.kettle(), here.kettle()
    for each in (kettle, other):
        here.record(each, combined(), here.visit(date(2026, 11, 20)))
    record_movement(here.register, WHO, appliance=other.uid, movement=Movement.ISSUED, on=TODAY, note="crew 2")
    text = text_of(here, "slip", tmp_path / "s.pdf", Asked(item=kettle.uid, also="HR-002"))
    for words in (
        "2 items",
        "Last tested 20 Nov 2026, 4 days before",
        "out since 24 Nov 2026: crew 2",
        "issued to",
        "back on",
        "signature, received by",
    ):
        assert words in text, words


def test_what_must_not_be_issued_gets_no_slip_and_what_is_out_says_it_failed(stood: WorkedSite, tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match="HR-002 is withdrawn"):
        issue_slip(stood.register, Asked(item=uid_of(stood, "HR-002")), today=TODAY)
    with pytest.raises(InputRefused, match="HR-001 must not be issued: it is overdue"):
        issue_slip(stood.register, Asked(item=uid_of(stood, "HR-001")), today=LATER)
    out = uid_of(stood, "HR-001")
    record_movement(stood.register, WHO, appliance=out, movement=Movement.ISSUED, on=TODAY)
    stood.record(stood.again(out), combined(earth="0.52"), stood.visit(TODAY))
    assert "HR-001: DO NOT USE, failed on 24 Nov 2026" in text_of(stood, "slip", tmp_path / "s.pdf", Asked(item=out))


def test_a_card_tells_users_what_they_can_see_without_tools_and_whom_they_tell(
    stood: WorkedSite, tmp_path: Path
) -> None:
    change_record(stood.register, WHO, replace(stood.site, responsible="Ola Quist", responsible_contact="0555 0101"))
    card = check_card(stood.register, Asked(site=stood.site.uid, room="Kitchen"), today=TODAY)
    looks = {each.title: each for each in card.looks}
    assert {"plug", "cord", "casing"} <= looks.keys()
    assert not {"fuse", "recall"} & looks.keys()
    assert (looks["plug"].common_practice, looks["controls"].common_practice) == (False, True)
    text = text_of(stood, "user-checks", tmp_path / "c.pdf", Asked(site=stood.site.uid, room="kitchen"))
    for words in (
        "Kitchen",
        "Ola Quist, 0555 0101",
        "controls *",
        "* Common practice",
        "stands for no formal visual inspection",
        "HSG107",
    ):
        assert words in text, words
    assert "HR-002" not in text


def test_a_location_has_a_list_of_both_facts_and_says_what_must_not_be_used(stood: WorkedSite) -> None:
    (table,) = room_document(stood.register, Asked(site=stood.site.uid, room="KITCHEN"), LATER).tables
    ((group),) = table.groups
    on = date(2026, 11, 20)
    assert [(row[0], row[3], row[4], row[6]) for row in group.rows] == [
        ("HR-001", on, on, "overdue"),
        ("HR-002", on, on, "DO NOT USE: failed"),
        ("HR-003", None, None, "never inspected"),
        ("HR-004", None, None, "missing"),
    ]
    with pytest.raises(InputRefused, match="Say which location"):
        room_document(stood.register, Asked(site=stood.site.uid), TODAY)


def _asked_of(paper: PaperKind, here: WorkedSite, item: Uid) -> Asked:
    told = Asked(item=item) if Of.ITEM in paper.of else Asked(site=here.site.uid)
    return replace(told, room="Kitchen") if Ask.ROOM in paper.needs else told


def test_hostile_text_is_read_or_said_on_every_sheet(tmp_path: Path) -> None:
    name = HOSTILE.replace("\x7f", "").strip()
    with worked_site(tmp_path) as here:
        item, good = here.kettle(), here.kettle()
        here.record(item, combined(earth="0.52"))
        here.record(good, combined())
        change_record(here.register, WHO, replace(here.site, name=name, responsible=name))
        for each in (item, good):
            change_record(here.register, WHO, replace(here.again(each), name=name, make=name, serial=name))
        for paper in PAPERS:
            if Of.VISIT in paper.of or paper.name == "register":
                continue
            out = tmp_path / f"{paper.name}.pdf"
            written = write_paper(
                here.register,
                paper,
                _asked_of(paper, here, item.uid if paper.name == "notice" else good.uid),
                out=out,
                today=TODAY,
            )
            text = " ".join(whole_text(out).split())
            assert "[red] =1+1 Łódź – Ελλάδα" in text, paper.name
            assert "漢" in written.missing_glyphs, paper.name
            assert f"page 1 of {pages_of(out)}" in text
