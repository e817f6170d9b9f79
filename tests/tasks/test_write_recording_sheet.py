"""A blank recording sheet: the limits an item will be judged by, never a laxer one, and nothing that looks filled in."""

from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.errors import InputRefused
from appreg.tasks.documents.chosen_items import ItemChoice, choice_asked
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.write_recording_sheet import recording_sheet, write_recording_sheet
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.paper.pdf_reading import whole_text
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def test_each_item_has_its_own_limits_how_they_came_about_and_what_was_read_last(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.08"), here.visit(date(2025, 11, 24)))
    (item,) = recording_sheet(here.register, choice=ItemChoice(site=here.site.uid), today=TODAY).items
    lines = {line.check: line for line in item.lines}
    earth = lines["earth continuity"]
    assert (earth.limit, earth.unit, earth.last) == ("≤ 0.1208 Ω", "Ω", "0.08 Ω, 24 Nov 2025")
    assert "26.0 mΩ/m × 0.8 m" in earth.how
    assert lines["insulation resistance"].limit == "≥ 1 MΩ"
    assert "500 V d.c." in lines["insulation resistance"].how
    assert (lines["leakage current"].instead, lines["leakage current"].limit) == (True, "≤ 0.75 mA")
    assert not lines["visual inspection"].figure
    assert "plug" in item.looks


def test_what_is_assumed_has_the_strictest_limit_and_a_box_to_be_confirmed(here: WorkedSite) -> None:
    kettle = here.kettle()
    change_record(here.register, WHO, replace(kettle, assumed=("cord-size", "cord-length")))
    (item,) = recording_sheet(here.register, choice=ItemChoice(site=here.site.uid), today=TODAY).items
    earth = next(line for line in item.lines if line.check == "earth continuity")
    assert earth.limit == "≤ 0.1 Ω"
    assert "assumed: the cord is 0.75 mm² × 0.8 m" in earth.how
    assert item.assumed == ("cord size", "cord length")


def test_a_failure_that_stands_is_said_on_the_sheet(here: WorkedSite) -> None:
    here.record(here.kettle(), combined(earth="0.52"), here.visit(date(2025, 11, 24)))
    (item,) = recording_sheet(here.register, choice=ItemChoice(site=here.site.uid), today=TODAY).items
    assert item.failed == "24 Nov 2025"


def test_the_sheet_is_of_a_site_a_location_or_some_items_and_of_none_that_is_gone(here: WorkedSite) -> None:
    one, two, three = here.kettle(), here.kettle(), here.kettle()
    hall = add_location(here.register, WHO, site=here.site.uid, name="Hall")
    change_record(here.register, WHO, replace(two, location=hall.uid))
    set_service_state(here.register, WHO, appliance=three.uid, state=ServiceState.DISPOSED)

    def tags(asked: Asked) -> list[str]:
        choice = choice_asked(here.register, asked)
        return [each.appliance.tag for each in recording_sheet(here.register, choice=choice, today=TODAY).items]

    assert tags(Asked(site=here.site.uid)) == ["HR-001", "HR-002"]
    assert tags(Asked(site=here.site.uid, room="hall")) == ["HR-002"]
    assert tags(Asked(item=one.uid)) == ["HR-001"]
    assert tags(Asked(item=one.uid, also="hr-002")) == ["HR-001", "HR-002"]
    assert tags(Asked(item=one.uid, further=(two.uid,))) == ["HR-001", "HR-002"]
    with pytest.raises(InputRefused, match="has the tag HR-009"):
        tags(Asked(item=one.uid, also="HR-002,HR-009"))
    with pytest.raises(InputRefused, match="Hall, Kitchen"):
        tags(Asked(site=here.site.uid, room="attic"))
    with pytest.raises(InputRefused, match="HR-003 is disposed"):
        tags(Asked(item=one.uid, also="HR-003"))


def test_the_page_has_cautions_limits_boxes_and_blank_places_and_claims_no_result(
    here: WorkedSite, tmp_path: Path
) -> None:
    here.kettle()
    out = tmp_path / "sheet.pdf"
    written = write_recording_sheet(here.register, choice=ItemChoice(site=here.site.uid), spare=2, out=out, today=TODAY)
    text = " ".join(whole_text(out).split())
    for words in (
        "Cautions", "Never energise an item that failed its earth check", "never a pass", "HR-001", "≤ 0.1208 Ω", "inspected and tested by",
        "calibration due", "Items that are not in the register", "Size or length not known: ≤ 0.1 Ω", "CoP 15.4", "not finished",
    ):  # fmt: skip
        assert words in text, words
    assert "PASS" not in text
    assert written.items == 1


def test_hostile_names_stay_words(here: WorkedSite, tmp_path: Path) -> None:
    item = here.kettle()
    change_record(here.register, WHO, replace(item, name="[red]", make="=1+1", model="Łódź – Ελλάδα", serial="漢" * 30))
    out = tmp_path / "sheet.pdf"
    written = write_recording_sheet(here.register, choice=ItemChoice(site=here.site.uid), out=out, today=TODAY)
    text = " ".join(whole_text(out).split())
    for words in ("[red]", "=1+1", "Łódź – Ελλάδα"):
        assert words in text, words
    assert written.missing_glyphs == ("漢",)
