"""Tags printed before items bear them, and labels of locations: printed, scanned, and never taken for something else."""

from pathlib import Path

import pytest
import zxingcpp
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, AssetTag, Location
from appreg.core.values.label_codes import code_text
from appreg.errors import InputRefused, NotFound
from appreg.paper.labels.stock_reading import load_stocks
from appreg.tasks.documents.print_names import labels_beforehand, labels_of_locations, print_names
from appreg.tasks.items.find_items import find_items, item_meant, item_named, said_of_label, tag_on_label
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.change_record import change_record
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.pdf_reading import page_image, whole_text
from tests.tasks.worked_site import TODAY, WHO, WorkedSite

STOCK = load_stocks()["roll-50x25"]


def codes_of(path: Path, pages: int) -> list[str]:
    return [code.text for page in range(pages) for code in zxingcpp.read_barcodes(page_image(path, dpi=203, page=page))]


def test_a_tag_printed_beforehand_is_given_to_an_item_and_leads_to_it_from_then_on(
    here: WorkedSite, tmp_path: Path
) -> None:
    taken = here.kettle("HR-102")
    labels, left_out = labels_beforehand(here.register, site=here.site.uid, tags="hr-101..HR-103")
    assert [each.tag for each in labels] == ["HR-101", "HR-103"]
    assert [each.sentence for each in left_out] == ["The label of HR-102 was left out: it is borne by an item already."]
    end = here.register.last_instant()
    printed = print_names(labels, out=tmp_path / "t.pdf", stock=STOCK, left_out=left_out, today=TODAY)
    assert (printed.count, printed.sheets, printed.counted, printed.lacking) == (2, 2, False, ())
    assert here.register.last_instant() == end, "nothing is kept"
    first, _ = codes_of(tmp_path / "t.pdf", 2)
    assert item_named(here.register, first) is None
    assert tag_on_label(here.register, first) == "HR-101"
    assert said_of_label(here.register, first).startswith("The label of HR-101 was printed beforehand for ")
    kettle = here.kettle("HR-101")
    assert item_named(here.register, first) == kettle
    assert tag_on_label(here.register, first) is None
    assert taken.tag == "HR-102"


def test_a_label_printed_beforehand_leads_to_no_item_once_its_tag_was_given_up(here: WorkedSite) -> None:
    code = code_text("HR-101", here.site.uid)
    old = here.kettle("HR-101")
    change_record(here.register, WHO, replace(old, tag=AssetTag("HR-200")))
    new = here.kettle("HR-101")
    assert item_named(here.register, code) is None
    assert tag_on_label(here.register, code) is None
    assert "gave up the tag HR-101" in said_of_label(here.register, code)
    with pytest.raises(NotFound, match="gave up the tag"):
        item_meant(here.register, code)
    assert item_named(here.register, code_text("HR-101", new.uid)) == new
    labels, left_out = labels_beforehand(here.register, site=here.site.uid, tags="HR-101,HR-200")
    assert (labels, len(left_out)) == ([], 2)


@pytest.mark.parametrize("code", ["*HR-101 4K7Q2M", "*KITCHEN 4K7Q2M"])
def test_a_label_of_another_register_is_neither(here: WorkedSite, code: str) -> None:
    assert tag_on_label(here.register, code) is None
    assert "printed from another register" in said_of_label(here.register, code)


@pytest.mark.parametrize(
    "tags", ["HR-1..HR-99999", "A..B", "HR-1..KL-3", "", "ÄÖ-1", "HARBOUR-ROW-0001", "HR_1", "[red]"]
)
def test_tags_that_no_code_tells_whole_are_refused(here: WorkedSite, tags: str) -> None:
    with pytest.raises(InputRefused, match=r"\.$"):
        labels_beforehand(here.register, site=here.site.uid, tags=tags)


def test_the_label_of_a_location_is_answered_by_what_is_there(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    empty = add_location(here.register, WHO, site=here.site.uid, name="Plant room behind the boiler house")
    labels = labels_of_locations(here.register, site=here.site.uid)
    print_names(labels, out=tmp_path / "r.pdf", stock=STOCK, today=TODAY)
    codes = codes_of(tmp_path / "r.pdf", len(labels))
    assert len(codes) == len(here.register.find(Location))
    by_name = dict(zip([each.tag for each in labels], codes, strict=True))
    assert [each.appliance for each in find_items(here.register, by_name[here.kitchen.name], today=TODAY)] == [kettle]
    assert find_items(here.register, by_name[empty.name], today=TODAY) == ()
    assert said_of_label(here.register, by_name[empty.name]).endswith("and of no item; nothing is there.")
    with pytest.raises(NotFound, match="label of a location"):
        item_meant(here.register, by_name[here.kitchen.name])
    change_record(here.register, WHO, replace(here.kitchen, name="Tea kitchen"))
    assert len(find_items(here.register, by_name[here.kitchen.name], today=TODAY)) == 1, "renamed, it is the same place"
    (one,) = labels_of_locations(here.register, site=here.site.uid, room="tea KITCHEN")
    assert (one.tag, one.below) == ("Tea kitchen", (here.site.name,))
    assert here.register.find(Appliance) == [kettle]


def test_names_of_any_script_and_length_are_printed_or_said(here: WorkedSite, tmp_path: Path) -> None:
    for name in (*HOSTILE_NAMES, "W" * 300):
        if name.strip() and {*name} and not any(each.name == name for each in here.register.find(Location)):
            try:
                add_location(here.register, WHO, site=here.site.uid, name=name)
            except InputRefused:
                continue
    labels = labels_of_locations(here.register, site=here.site.uid)
    out = tmp_path / "r.pdf"
    printed = print_names(labels, out=out, stock=STOCK, today=TODAY)
    text = whole_text(out)
    assert printed.count == len(labels) > 3
    assert "[red]" in text
    assert "=1+1" in text
    assert printed.missing_glyphs
    assert any("is cut on" in sentence for sentence in printed.lacking)
    assert sorted(codes_of(out, printed.sheets)) == sorted(each.payload for each in labels)


def test_a_stock_without_room_for_a_code_is_said(here: WorkedSite, tmp_path: Path) -> None:
    labels = labels_of_locations(here.register, site=here.site.uid)
    printed = print_names(labels, out=tmp_path / "r.pdf", stock=load_stocks()["a4-54-round"], today=TODAY)
    assert printed.lacking == ("This stock has no room for a code, so nothing can be scanned from it.",)
    with pytest.raises(NotFound, match="no such location"):
        print_names([], out=tmp_path / "n.pdf", stock=STOCK, today=TODAY)
