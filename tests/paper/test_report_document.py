from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from msgspec.structs import replace

from appreg.core.judging.methods import Method, Spread, method_text
from appreg.core.records.appliances import Owner
from appreg.core.records.checks import EarthCurrent
from appreg.core.rules.interval_tables import RecordField
from appreg.errors import Incomplete
from appreg.paper.documents.report_content import OutOfReach, ReportDocument
from appreg.paper.documents.report_document import write_report_document
from appreg.paper.page.document_parts import CAUTIONS
from appreg.progress import Stopped
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.paper_samples import CLIENT, INSTRUMENT, KETTLE, LEAD, PERSON, REPORT, SITE, TOASTER, VISIT, of_visit
from tests.paper.pdf_reading import page_texts, text_boxes, whole_text

PORTRAIT = (210.0, 297.0)
MARGIN, RIGHT = 18.0, 10.0


def _text(document: ReportDocument, folder: Path) -> str:
    out = folder / "report.pdf"
    write_report_document(document, out, replace=True)
    return " ".join(whole_text(out).split())


def test_the_report_states_what_the_statute_asks(tmp_path: Path) -> None:
    # Housing (Scotland) Act 2006 s. 19B(2): date, address, landlord or agent, inspector with address and qualifications,
    # description and location of each appliance, defects, remedial action; published.
    text = _text(replace(REPORT, required=tuple(RecordField), profile_title="Scotland, private landlord"), tmp_path)
    for words in (
        "24 Nov 2026", "14 Harbour Row, Port Ellery", "Harbour Lettings", "3 Quay Street, Port Ellery", "Ada Bramley",
        "5 Dock Road, Port Ellery", "City certificate no. 4471", "Kettle", "Toaster", "Flat 2, kitchen",
        "failed: earth continuity 0.35 Ω, limit ≤ 0.1208 Ω (screw in the plug loose)",
        "remedial action: landlord told, put aside", "Scotland, private landlord",
    ):  # fmt: skip
        assert words in text, words


def test_the_report_names_wiring_report_instrument_limits_rules_cautions_and_who_signs(tmp_path: Path) -> None:
    text = _text(REPORT, tmp_path)
    for words in (
        "CR-2026-118", "Bench tester serial T2-00931", "calibration due 01 Mar 2027", "UK Code of Practice (gb 1)",
        "earth continuity: Code of Practice for In-service Inspection and Testing, 15.4", "second-hand",
        "signature of Ada Bramley, AB", *CAUTIONS,
    ):  # fmt: skip
        assert words in text, words


def test_the_extent_counts_items_and_names_what_nothing_is_said_of(tmp_path: Path) -> None:
    # Common practice: a report states its extent and its limitations.
    text = _text(
        replace(
            REPORT,
            items=(KETTLE, replace(TOASTER, appliance=replace(TOASTER.appliance, owner=Owner.TENANT)), LEAD),
            earlier=(replace(TOASTER, note="inspected and tested again on this visit, see below"),),
            not_inspected=(OutOfReach(tag="HR-009", name="Freezer", location="Cellar", because="no access"),),
            visits=of_visit(REPORT, visit=replace(VISIT, notes="Limitations: the loft was locked.")).visits,
            keeping="Keep a copy of this report for 6 years (Scotland, private landlord).",
        ),
        tmp_path,
    )
    for words in (
        "the 3 items listed below, each counted once however often it was inspected",
        "One item could not be inspected and stays due. One item is not finished. One item does not belong to the landlord.",
        "Limitations: the loft was locked.",
        "Keep a copy of this report for 6 years",
        "belongs to the tenant",
    ):
        assert words in text, words


def test_notes_of_a_visit_that_are_not_meant_for_the_report_stay_off_it(tmp_path: Path) -> None:
    text = _text(of_visit(REPORT, visit=replace(VISIT, notes="Key under the pot; limitations: none")), tmp_path)
    assert "Key under" not in text


def test_an_absent_field_stops_the_report_and_leaves_no_file(tmp_path: Path) -> None:
    bare = replace(of_visit(REPORT, person=replace(PERSON, qualifications="")), required=tuple(RecordField))
    with pytest.raises(Incomplete, match="qualifications of the inspector"):
        write_report_document(bare, tmp_path / "report.pdf")
    assert list(tmp_path.iterdir()) == []


def test_no_defect_is_claimed_unless_the_inspector_states_it(tmp_path: Path) -> None:
    silent = _text(replace(REPORT, items=(KETTLE,)), tmp_path)
    assert silent.count("not stated") == 2
    stated = _text(
        replace(REPORT, items=(KETTLE,), defects="No defects found.", remedial_action="None needed."), tmp_path
    )
    assert "No defects found." in stated
    assert "None needed." in stated
    assert "not stated" not in stated


def test_unfinished_items_are_listed_as_neither_passed_nor_failed(tmp_path: Path) -> None:
    text = _text(REPORT, tmp_path)
    assert "Not finished: neither passed nor failed" in text
    assert "HR-003 Lead: not done: functional check; neither pass nor fail: RCD at 1 × IΔn 28 ms" in text
    assert "Not finished" not in _text(replace(REPORT, items=(KETTLE,)), tmp_path)


@pytest.mark.parametrize(
    ("due", "lapsed"), [(date(2026, 11, 23), True), (date(2026, 11, 24), False), (date(2027, 1, 1), False)]
)
def test_a_calibration_lapsed_on_the_day_is_said_twice(tmp_path: Path, due: date, lapsed: bool) -> None:
    text = _text(of_visit(REPORT, instrument=replace(INSTRUMENT, calibration_due=due)), tmp_path)
    assert ("LAPSED" in text) is lapsed
    assert ("Caution: the instrument's calibration had lapsed" in text) is lapsed


def test_a_value_from_memory_is_marked_as_one_to_check(tmp_path: Path) -> None:
    doubtful = replace(LEAD, findings=(replace(LEAD.findings[1], basis="memory"),))
    assert "from memory, to be checked" in _text(replace(REPORT, items=(doubtful,)), tmp_path)


def test_a_visit_without_instrument_or_items_is_reported_plainly(tmp_path: Path) -> None:
    visit = replace(VISIT, instrument=None, fixed_wiring_reference="")
    text = _text(replace(of_visit(REPORT, visit=visit, instrument=None), items=()), tmp_path)
    assert "instrument none recorded report on the fixed wiring none named" in text
    assert "No item was inspected on this visit." in text


def test_pages_are_numbered_and_bytes_are_equal_for_equal_reports(tmp_path: Path) -> None:
    one, other = tmp_path / "one.pdf", tmp_path / "other.pdf"
    long = replace(REPORT, items=REPORT.items * 8)
    write_report_document(long, one)
    write_report_document(long, other)
    pages = page_texts(one)
    assert len(pages) > 2
    assert all(f"page {number} of {len(pages)}" in text for number, text in enumerate(pages, 1))
    assert one.read_bytes() == other.read_bytes()


def test_writing_that_is_stopped_leaves_no_file(tmp_path: Path) -> None:
    with pytest.raises(Stopped):
        write_report_document(REPORT, tmp_path / "report.pdf", lambda _done, _total: False)
    assert list(tmp_path.iterdir()) == []


def _named(name: str) -> ReportDocument:
    return replace(
        REPORT,
        client=replace(CLIENT, name=name, address=name, agent_name=name, agent_address=name),
        site=replace(SITE, name=name, address=name),
        visits=of_visit(REPORT, person=replace(PERSON, name=name, qualifications=name)).visits,
        defects=name,
        remedial_action=name,
        profile_title=name,
    )


@pytest.mark.parametrize("name", ["[red]x[/red]", "\u202egnp.exe =1+1", "\x1b]52;c;x\x07" + "W" * 300, "漢字 العربية"])
def test_hostile_names_stay_text_inside_the_margins(tmp_path: Path, name: str) -> None:
    out = tmp_path / "report.pdf"
    items = tuple(
        replace(TOASTER, appliance=replace(TOASTER.appliance, name=other), location=other, remedial_action=other)
        for other in HOSTILE_NAMES
    )
    write_report_document(replace(_named(name), items=items), out)
    assert not set(whole_text(out)) & set("\u202a\u202b\u202d\u202e\u2066\u2067\u2068\u200e\u200f\x1b\x9b\x00\x07")
    assert all(
        left >= MARGIN - 1 and right <= PORTRAIT[0] - RIGHT + 1 and bottom <= PORTRAIT[1] - 4
        for _, left, _, right, bottom in text_boxes(out)
    )


def test_the_report_tells_how_each_check_was_measured_with_all_its_readings(tmp_path: Path) -> None:
    method = method_text(Method(test_current=EarthCurrent.MA200, spread=Spread.PLACES, readings=("0.05", "0.09")))
    findings = (replace(KETTLE.findings[0], reading="0.09", method=method), *KETTLE.findings[1:])
    text = _text(replace(REPORT, items=(replace(KETTLE, findings=findings),)), tmp_path)
    assert "0.05/0.09" in text
    assert "test current 200 mA · each place" in text


def test_the_report_tells_the_check_of_the_day_and_where_it_is_missing(tmp_path: Path) -> None:
    assert "check of the day not recorded" in _text(REPORT, tmp_path)
    visit = replace(VISIT, instrument_check="leads nulled, 1.00 Ω read 1.01")
    text = _text(of_visit(REPORT, visit=visit), tmp_path)
    assert "checked on the day: leads nulled, 1.00 Ω read 1.01" in text
    assert "not recorded" not in text


def test_what_has_to_be_put_right_stands_on_page_one_and_the_end_is_neither_cautions_nor_a_signature(
    tmp_path: Path,
) -> None:
    for count in range(1, 9):
        out = tmp_path / f"{count}.pdf"
        write_report_document(replace(REPORT, items=(TOASTER, *(KETTLE for _ in range(count)))), out)
        first, *_, last = page_texts(out)
        assert "Put right soon (1): do not use" in first
        assert "HR-002  Toaster" in first
        assert "signature of" not in last
        assert CAUTIONS[0] not in last


def test_a_long_name_pushes_neither_kind_nor_date_nor_number_off_the_page(tmp_path: Path) -> None:
    out = tmp_path / "report.pdf"
    long = replace(REPORT, site=replace(SITE, name="Long " * 80), items=REPORT.items * 4)
    write_report_document(long, out)
    for text in page_texts(out):
        words = " ".join(text.split())
        assert "visit of 24 Nov 2026 · Long" in words
        assert "page " in words
    assert "Report of inspection and test of electrical appliances, 24 Nov 2026" in " ".join(page_texts(out)[0].split())
    assert all("Report of inspection of 24 Nov 2026 · Long" in " ".join(text.split()) for text in page_texts(out)[1:])


def test_decimal_points_of_readings_and_limits_stand_below_one_another(tmp_path: Path) -> None:
    low = replace(KETTLE.findings[1], reading="12.08")
    out = tmp_path / "report.pdf"
    write_report_document(replace(REPORT, items=(replace(KETTLE, findings=(KETTLE.findings[1], low)),)), out)
    with pypdfium2.PdfDocument(out) as pdf:
        page = next(page for page in pdf if "12.08 Ω" in page.get_textpage().get_text_range()).get_textpage()
        points = []
        for reading in ("0.08 Ω", "12.08 Ω"):
            start, _ = page.search(reading).get_next()
            points.append(page.get_charbox(start + reading.index("."))[0])
        assert points[0] == pytest.approx(points[1], abs=0.1)


def test_the_bars_of_readings_are_explained_once(tmp_path: Path) -> None:
    assert _text(REPORT, tmp_path).count("Bars: how much of its limit a reading uses up.") == 1
    looked = replace(KETTLE, findings=KETTLE.findings[:1])
    assert "Bars: how much" not in _text(replace(REPORT, items=(looked,)), tmp_path)


def test_an_item_of_somebody_else_is_named_with_its_owner(tmp_path: Path) -> None:
    thing = replace(KETTLE.appliance, owner_name="Bo [red] Quill")
    assert "belongs to Bo [red] Quill" in _text(replace(REPORT, items=(replace(KETTLE, appliance=thing),)), tmp_path)
