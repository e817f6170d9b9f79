"""The page that shows where a printer lays its labels: its crosses, its rulers, and what an offset does to both."""

from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from appreg.core.values.print_offsets import UNMOVED, Offset
from appreg.paper.labels.calibration_page import write_calibration
from appreg.paper.labels.label_layout import place_labels
from appreg.paper.labels.label_sheet import write_label_sheet
from appreg.paper.labels.label_stock import Feed, Stock
from appreg.paper.labels.stock_reading import load_stocks
from tests.paper.paper_samples import TODAY, label
from tests.paper.pdf_reading import page_image, pages_of, text_boxes, whole_text

DPI = 254
"""Ten dots a millimetre."""
A4_65 = load_stocks()["a4-65"]


def drawn(stock: Stock, out: Path, offset: Offset = UNMOVED) -> Image.Image:
    write_calibration(stock, out=out, created=TODAY, printer="office", offset=offset)
    return page_image(out, dpi=DPI)


def is_dark(picture: Image.Image, x: float, y: float) -> bool:
    """Whether something is drawn within a tenth of a millimetre of a point, in mm."""
    part = picture.crop((round(x * 10) - 1, round(y * 10) - 1, round(x * 10) + 2, round(y * 10) + 2))
    return part.getextrema()[0] < 128  # type: ignore[operator]


@pytest.mark.parametrize("offset", [UNMOVED, Offset(0.6, -1.2)])
def test_each_corner_of_the_labels_has_a_cross_moved_as_the_printer_is(tmp_path: Path, offset: Offset) -> None:
    picture = drawn(A4_65, tmp_path / "c.pdf", offset)
    corners = {
        (x + offset.right, y + offset.down)
        for place in (*place_labels(A4_65, 3), *place_labels(A4_65, 1, 65))
        for x in (place.x_mm, place.x_mm + place.w)
        for y in (place.y_mm, place.y_mm + place.h)
    }
    assert all(is_dark(picture, x, y) for x, y in corners)
    assert not any(is_dark(picture, x + 0.6, y + 0.6) for x, y in corners)


@pytest.mark.parametrize("stock", load_stocks().values(), ids=lambda stock: stock.id)
def test_every_stock_has_a_page_of_its_own_size_with_rulers_and_full_size_asked_for(
    tmp_path: Path, stock: Stock
) -> None:
    out = tmp_path / "c.pdf"
    picture = drawn(stock, out)
    assert pages_of(out) == 1
    assert picture.size == pytest.approx((stock.sheet_width * 10, stock.sheet_height * 10), abs=1)
    assert PdfReader(out).trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"  # type: ignore[index]
    text = whole_text(out)
    assert "10" in text
    assert ("Measure the rulers: the level one has 100 mm, the upright one 100 mm." in " ".join(text.split())) is (
        stock.feed is Feed.SHEET
    )
    for _, left, top, right, bottom in text_boxes(out):
        assert min(left, top) >= 0
        assert right <= stock.sheet_width
        assert bottom <= stock.sheet_height


def test_the_level_ruler_is_as_long_as_it_says(tmp_path: Path) -> None:
    picture = drawn(A4_65, tmp_path / "c.pdf")
    assert all(is_dark(picture, 20 + mm, 20 + 1) for mm in range(101))
    assert all(is_dark(picture, 20 + 1, 20 + mm) for mm in range(101))
    assert not is_dark(picture, 121, 21)


def test_labels_are_moved_as_the_printer_is(tmp_path: Path) -> None:
    lefts = []
    for name, offset in (("a.pdf", UNMOVED), ("b.pdf", Offset(0.6, -1.2))):
        out = tmp_path / name
        places = place_labels(A4_65, 1, 33)
        write_label_sheet(zip(places, [label(1)], strict=True), stock=A4_65, out=out, created=TODAY, offset=offset)
        assert PdfReader(out).trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"  # type: ignore[index]
        _, left, top, *_ = text_boxes(out)[0]
        lefts.append((left, top))
    (left, top), (moved_left, moved_top) = lefts
    assert moved_left - left == pytest.approx(0.6, abs=0.02)
    assert moved_top - top == pytest.approx(-1.2, abs=0.02)
