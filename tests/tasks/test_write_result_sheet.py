"""The result sheet of an item: two facts, every inspection that counts, those that do not, and a standing failure before all."""

from datetime import date
from pathlib import Path

from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import InspectionKind
from appreg.tasks.documents.write_result_sheet import result_sheet, write_result_sheet
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from tests.paper.pdf_reading import whole_text
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def test_the_sheet_tells_the_last_test_and_the_last_look_and_every_reading(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.08"), here.visit(date(2024, 11, 24)))
    here.record(kettle, Entries(visual=True), here.visit(date(2025, 11, 24)), kind=InspectionKind.VISUAL)
    out = tmp_path / "sheet.pdf"
    write_result_sheet(here.register, item=kettle.uid, out=out, today=TODAY)
    text = " ".join(whole_text(out).split())
    for words in (
        "Result sheet of an item, as of 24 Nov 2026", "HR-001", "24 Nov 2024, WA: pass", "24 Nov 2025, WA: pass", "looked at, not tested",
        "0.08 Ω", "≤ 0.1208 Ω", ">299 MΩ", "Every inspection that counts (2)", "WA: Wren A", "Row Lettings", "Insulation resistance",
    ):  # fmt: skip
        assert words in text, words
    assert "DO NOT USE" not in text


def test_a_failure_that_stands_is_said_first(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.52"), here.visit(date(2025, 11, 24)))
    here.record(kettle, combined(insulation=""), here.visit(TODAY))
    out = tmp_path / "sheet.pdf"
    write_result_sheet(here.register, item=kettle.uid, out=out, today=TODAY)
    text = " ".join(whole_text(out).split())
    assert text.index("DO NOT USE: failed on 24 Nov 2025, not passed since") < text.index("class and type")
    assert "out of use until it has passed again" in text


def test_what_was_corrected_or_taken_back_is_named_and_drawn_nowhere(here: WorkedSite) -> None:
    kettle, visit = here.kettle(), here.visit()
    wrong = here.record(kettle, combined(earth="0.52"), visit)
    here.record(kettle, combined(), visit, supersedes=wrong.inspection.uid, reason="misread")
    again = here.record(kettle, combined(earth="0.07"), here.visit(date(2026, 11, 25)))
    take_back_inspection(here.register, WHO, again.inspection.uid)
    sheet = result_sheet(here.register, item=kettle.uid, today=TODAY)
    assert [each.findings[1].reading for each in sheet.history] == ["0.08"]
    assert sheet.set_aside == (
        "The combined inspection of 25 Nov 2026, pass, was taken back.",
        "The combined inspection of 24 Nov 2026, fail, was corrected, because: misread.",
    )


def test_an_item_never_inspected_has_a_sheet_that_says_so(here: WorkedSite, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    write_result_sheet(here.register, item=here.kettle().uid, out=out, today=TODAY)
    text = " ".join(whole_text(out).split())
    assert "It was never inspected here." in text
    assert "pass" not in text.replace("passed", "")
