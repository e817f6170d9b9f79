import re
from datetime import date
from decimal import Decimal as D
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import Owner, ServiceState
from appreg.core.records.kept_records import AssetTag
from appreg.core.values.outcomes import Outcome
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.paper.documents.register_document import write_register_document
from appreg.paper.documents.register_lines import LINE_COLUMNS, item_row, put_right_soon
from appreg.paper.page.document_parts import CAUTIONS
from appreg.progress import Stopped
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.paper_samples import (
    DRILL,
    EARTH,
    FAILED_EARTH,
    INSTRUMENT,
    KETTLE,
    LOOKED,
    REGISTER,
    SITE,
    TOASTER,
    TODAY,
    finding,
)
from tests.paper.pdf_reading import page_texts, pages_of, text_boxes, whole_text

LANDSCAPE = (297.0, 210.0)
MARGIN = 13.0


def _many(count: int) -> tuple[InspectedItem, ...]:
    base = (KETTLE, TOASTER, DRILL)
    tagged = (
        replace(base[n % 3], appliance=replace(base[n % 3].appliance, tag=AssetTag(f"HR-{n:04d}")))
        for n in range(count)
    )
    return tuple(tagged)


def test_failures_come_before_the_list_of_every_item(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    summary = write_register_document(REGISTER, out)
    text = whole_text(out)
    assert (summary.items, summary.missing_glyphs) == (4, ())
    failures, items = text.index("Failed: do not use (1)"), text.index("Every item (4)")
    assert failures < text.index("HR-002") < items
    assert all(items < text.index(tag) for tag in ("HR-001", "HR-004"))
    assert text.count("HR-002") == 3, "as failed, in its line, and with its readings"


def test_an_item_says_place_class_type_result_readings_limits_arithmetic_and_next_dates(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    write_register_document(replace(REGISTER, items=(KETTLE,)), out)
    text = " ".join(whole_text(out).split())
    for words in (
        "Kettle", "Flat 2, kitchen", "Class I", "portable", "PASS", "24 Nov 2026", "earth continuity", "0.08 Ω", "≤ 0.1208 Ω",
        "0.1 + 26.0 mΩ/m × 0.8 m = 0.1208 Ω", ">299 MΩ", "≥ 1 MΩ", "next formal visual inspection 24 May 2027", "next inspection and test 24 Nov 2027",
        "low risk, Class I, 1–2 years", "AB: Ada Bramley", "City certificate no. 4471", "Bench tester, serial T2-00931",
        "calibration due 01 Mar 2027", "Harbour Lettings", "HSG107, 2013", "UK Code of Practice (gb 1)", "rules gb 1",
        "No item stands as failed",
    ):  # fmt: skip
        assert words in text, words


def test_a_reading_close_to_its_limit_says_so_with_its_uncertainty(tmp_path: Path) -> None:
    doubtful = replace(FAILED_EARTH, reading="0.12", uncertainty=D("0.03"), zone="conditional pass")
    failed = replace(TOASTER, findings=(doubtful,))
    clear = replace(KETTLE, findings=(replace(EARTH, uncertainty=D("0.0054"), zone="pass"),))
    out = tmp_path / "register.pdf"
    write_register_document(replace(REGISTER, items=(failed, clear)), out)
    text = " ".join(whole_text(out).split())
    # Once among the failures, once in the list of every item.
    assert text.count("close to the limit: U 0.03 Ω (k = 2)") == 2
    assert "U 0.0054 Ω (k = 2)" in text


def test_failures_say_why_and_what_was_done(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    write_register_document(REGISTER, out)
    text = whole_text(out)
    assert "earth continuity 0.35 Ω, limit ≤ 0.1208 Ω (screw in the plug loose)" in text.replace("\n", " ")
    assert "landlord told, put" in text
    assert "withdrawn" in text
    assert "out of use until it" in text


def test_counts_tell_failed_overdue_never_inspected_and_withdrawn(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    late = replace(KETTLE, appliance=replace(KETTLE.appliance, next_test=date(2026, 11, 23)))
    put_aside = replace(late, appliance=replace(late.appliance, state=ServiceState.DISPOSED))
    due_today = replace(KETTLE, appliance=replace(KETTLE.appliance, next_test=TODAY))
    write_register_document(replace(REGISTER, items=(late, put_aside, due_today, TOASTER, DRILL, DRILL)), out)
    lines = page_texts(out)[0].splitlines()
    counts = {word: int(lines[lines.index(word) - 1]) for word in ("items", "failed", "overdue", "never inspected")}
    assert counts == {"items": 6, "failed": 1, "overdue": 1, "never inspected": 2}
    assert lines[lines.index("withdrawn from use") - 1] == "1"


def test_of_an_item_out_of_service_no_next_date_is_printed(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    for state, said in (
        (ServiceState.WITHDRAWN, "nothing is due while it is withdrawn"),
        (ServiceState.DISPOSED, "gone for good: nothing is due"),
    ):
        aside = replace(KETTLE, appliance=replace(KETTLE.appliance, state=state))
        write_register_document(replace(REGISTER, items=(aside,)), out, replace=True)
        text = " ".join(whole_text(out).split())
        assert said in text
        assert "look 24 May 2027" not in text
        assert "test 24 Nov 2027" not in text


def test_every_caution_and_a_lapsed_calibration_are_printed(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    lapsed = replace(INSTRUMENT, calibration_due=date(2026, 9, 1))
    write_register_document(replace(REGISTER, instruments=(lapsed,)), out)
    text = " ".join(whole_text(out).split())
    assert all(caution in text for caution in CAUTIONS)
    assert "LAPSED on 01 Sep 2026" in text


def test_pages_are_numbered_of_how_many_and_repeat_headings(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    summary = write_register_document(replace(REGISTER, items=_many(40)), out)
    pages = page_texts(out)
    assert summary.pages == len(pages) == pages_of(out) > 3
    assert all(f"page {number} of {len(pages)}" in text for number, text in enumerate(pages, 1))
    assert all("tag and result" in text for text in pages if "annex" in text.casefold() or re.search("≥ 1 MΩ", text))
    assert all("Harbour Row 14 · register" in text for text in pages[1:])


def test_equal_registers_give_equal_bytes(tmp_path: Path) -> None:
    one, other = tmp_path / "one.pdf", tmp_path / "other.pdf"
    write_register_document(REGISTER, one)
    write_register_document(REGISTER, other)
    assert one.read_bytes() == other.read_bytes()


def _hostile(number: int, name: str) -> InspectedItem:
    thing = replace(KETTLE.appliance, name=name, make=name, serial=name, tag=AssetTag(f"T{number}"))
    remark = finding("visual", "bad", "fail", remark=name, arithmetic=name)
    assert KETTLE.inspection is not None
    inspection = replace(KETTLE.inspection, remarks=name, advice=(name,), outcome=Outcome.FAIL)
    return replace(
        KETTLE, appliance=thing, location=name, findings=(LOOKED, remark), inspection=inspection, interval=name,
        person=name, remedial_action=name,
    )  # fmt: skip


def test_hostile_names_stay_text_inside_the_margins(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    items = tuple(_hostile(number, name) for number, name in enumerate(HOSTILE_NAMES))
    hostile_site = replace(SITE, name="[red]=1+1\u202egnp\x1b[2J" + "W" * 200, address="漢" * 90)
    summary = write_register_document(replace(REGISTER, site=hostile_site, items=items), out)
    text = whole_text(out)
    assert summary.items == len(HOSTILE_NAMES)
    assert "漢" in summary.missing_glyphs
    assert not set(text) & set("\u202a\u202b\u202d\u202e\u2066\u2067\u2068\u200e\u200f\x1b\x9b\x00\x07")
    assert "⟨202E⟩" in text
    for _, left, top, right, bottom in text_boxes(out):
        assert left >= MARGIN - 1
        assert right <= LANDSCAPE[0] - MARGIN + 1
        assert top >= 0
        assert bottom <= LANDSCAPE[1] - 4


def test_an_item_taller_than_a_page_goes_on_on_the_next(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    rows = tuple(finding("visual", "ok", remark=f"remark {number} " + "word " * 70) for number in range(20))
    write_register_document(replace(REGISTER, items=(replace(KETTLE, findings=rows), DRILL)), out)
    text = whole_text(out)
    assert all(f"remark {number} " in text for number in range(20))
    assert text.count("word") == 20 * 70
    assert "HR-004" in text
    assert all(bottom <= LANDSCAPE[1] - 4 for *_, bottom in text_boxes(out))


def test_writing_that_is_stopped_leaves_no_file(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    with pytest.raises(Stopped, match="stopped after 2 of 4"):
        write_register_document(REGISTER, out, lambda done, _total: done < 50)
    assert list(tmp_path.iterdir()) == []


def test_lines_that_are_stopped_leave_no_file_either(tmp_path: Path) -> None:
    lines = replace(REGISTER, items=_many(250), details=False)
    with pytest.raises(Stopped, match="stopped after 100 of 250"):
        write_register_document(lines, tmp_path / "register.pdf", lambda done, _total: done < 100)
    assert list(tmp_path.iterdir()) == []


def test_a_register_has_a_line_an_item_by_room_and_first_what_is_to_be_done(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    late = replace(KETTLE, appliance=replace(KETTLE.appliance, next_visual=date(2026, 11, 1)))
    items = (late, TOASTER, replace(DRILL, location="Attic [red]"))
    summary = write_register_document(replace(REGISTER, items=items, details=False), out)
    text = " ".join(whole_text(out).split())
    assert summary.pages <= 3
    assert "overdue 01 Nov 2026 1 0" in text
    assert "November 2027 24 Nov 2027 0 1" in text
    assert text.index("Failed: do not use (1)") < text.index("To do, by when") < text.index("Put right soon")
    rooms = text.index("Every item (3)")
    assert rooms < text.index("Attic [red]", rooms) < text.index("Flat 2, kitchen", rooms)
    assert "0.1 + 26.0 mΩ/m" not in text, "the arithmetic belongs to the annex"


def test_two_thousand_items_fit_on_some_sixty_pages(tmp_path: Path) -> None:
    few = (TOASTER, DRILL, *[KETTLE] * 38)
    items = tuple(
        replace(each, location=f"room {n % 40}", appliance=replace(each.appliance, tag=AssetTag(f"HR-{n:04d}")))
        for n in range(2000)
        for each in (few[n % 40],)
    )
    summary = write_register_document(replace(REGISTER, items=items, details=False), tmp_path / "register.pdf")
    assert (summary.items, summary.pages <= 62) == (2000, True), summary.pages


def test_advice_stands_once_with_every_item_it_was_given_on() -> None:
    assert KETTLE.inspection is not None
    advised = replace(KETTLE, inspection=replace(KETTLE.inspection, advice=("fuse found 13 A is larger than 3 A",)))
    other = replace(advised, appliance=replace(advised.appliance, tag=AssetTag("HR-077")))
    gone = replace(other, appliance=replace(other.appliance, tag=AssetTag("HR-078"), state=ServiceState.DISPOSED))
    table = put_right_soon(replace(REGISTER, items=(advised, other, gone)))
    assert [tuple(row) for row in table.groups[0].rows] == [
        ("fuse found 13 A is larger than 3 A", 2, f"{advised.appliance.tag}, HR-077")
    ]


def test_a_line_never_says_more_than_is_known() -> None:
    """A limited test, a failure, a look alone and an item out of service each say so; none has a date it is waited for."""
    last = LastTime(inspection=KETTLE.inspection, person="AB") if KETTLE.inspection else None
    assert last is not None
    left_out = replace(EARTH, method='{"left_out":"no earthed metal can be touched"}')
    limited = replace(KETTLE, findings=(LOOKED, left_out), last_test=last, last_look=last)
    aside = replace(limited, appliance=replace(KETTLE.appliance, state=ServiceState.MISSING))
    named = [column.name for column in LINE_COLUMNS]
    rows = [dict(zip(named, item_row(each, TODAY), strict=True)) for each in (limited, aside, TOASTER, DRILL)]
    assert rows[0]["test_result"] == "PASS limited"
    assert (rows[1]["next_test"], rows[1]["state"]) == ("", "missing")
    assert (rows[2]["next_visual"], rows[2]["next_test"]) == ("", "")
    assert rows[2]["state"] in {"do not use", "withdrawn"}
    assert (rows[3]["tested"], rows[3]["state"]) == ("never", "never inspected")


def test_an_empty_register_says_so_in_its_counts(tmp_path: Path) -> None:
    out = tmp_path / "register.pdf"
    assert write_register_document(replace(REGISTER, items=(), people=(), instruments=()), out).items == 0
    assert "The register holds no item." in whole_text(out)


def test_the_register_says_whose_an_item_is_where_that_is_known(tmp_path: Path) -> None:
    owned = replace(KETTLE, appliance=replace(KETTLE.appliance, owner=Owner.LANDLORD))
    write_register_document(replace(REGISTER, items=(owned, DRILL)), tmp_path / "owners.pdf")
    text = " ".join(whole_text(tmp_path / "owners.pdf").split())
    assert text.count("supplied by the landlord") == 2, "in its line, and with its readings"
    assert "belongs to" not in text
