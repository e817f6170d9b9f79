"""Codes on printed sheets, read by a reader that did not draw them (zxing-cpp on pages rendered by pdfium)."""

from pathlib import Path

import pytest
import qrcode
import zxingcpp
from msgspec.structs import replace

from appreg.core.records.kept_records import LabelKind
from appreg.core.values.label_codes import LONGEST_CODE
from appreg.paper.codes.qr_codes import SEALED, SMALL, STURDY, CodeForm, with_quiet_zone
from appreg.paper.labels.label_content import NextDate
from appreg.paper.labels.label_layout import Start, iterate_places, place_labels
from appreg.paper.labels.label_sheet import write_label_sheet
from appreg.paper.labels.label_stock import face_of
from appreg.paper.labels.stock_reading import load_stocks
from tests.paper.paper_samples import TODAY, label
from tests.paper.pdf_reading import page_image

WITH_CODES = [each for each, stock in load_stocks().items() if stock.code_form is not None]


@pytest.mark.parametrize("stock_id", WITH_CODES)
@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_every_code_of_a_full_sheet_and_of_a_part_sheet_is_read_and_leads_back_to_its_item(
    tmp_path: Path, stock_id: str, dpi: int
) -> None:
    stock = load_stocks()[stock_id]
    out = tmp_path / "labels.pdf"
    kinds = (LabelKind.PASS, LabelKind.DO_NOT_USE)
    # Every label as full as a book can make it: next date, tester with firm, colour of the period.
    full = {
        "next_date": NextDate(TODAY, "look"),
        "tester": "Ada Bramley, Wren, Daughters and Granddaughters Ltd",
        "colour": "light blue",
    }
    # The second sheet is a part of one: its last place alone.
    labels = [label(number, kind=kinds[number % 2], **full) for number in range(stock.places + 1)]
    used = Start(used=frozenset(range(2, stock.places)))
    places = [*place_labels(stock, stock.places), *iterate_places(stock, [1], used)]
    last = replace(places[-1], sheet=2)
    write_label_sheet(zip([*places[:-1], last], labels, strict=True), stock=stock, out=out, created=TODAY)
    sides = len(face_of(stock).corners)
    for page, wanted in ((0, labels[:-1]), (1, labels[-1:])):
        codes = zxingcpp.read_barcodes(page_image(out, dpi=dpi, page=page))
        assert sorted(code.text for code in codes) == sorted([each.payload for each in wanted] * sides)
        assert stock.code_form is not None
        assert {code.ec_level for code in codes} == {stock.code_form.level}


# ISO/IEC 18004, capacities in alphanumeric mode (published): version 1 at M holds 20, version 2 at H 20, version 3 at Q 47.
@pytest.mark.parametrize(("form", "version", "level"), [(SMALL, 1, "M"), (STURDY, 2, "H"), (SEALED, 3, "Q")])
def test_a_form_holds_as_many_characters_as_it_says_and_not_one_more(form: CodeForm, version: int, level: str) -> None:
    levels = {"M": qrcode.ERROR_CORRECT_M, "H": qrcode.ERROR_CORRECT_H, "Q": qrcode.ERROR_CORRECT_Q}
    assert (form.version, form.level) == (version, level)
    assert form.holds >= LONGEST_CODE
    for characters, fits in ((form.holds, True), (form.holds + 1, False)):
        code = qrcode.QRCode(error_correction=levels[level])
        code.add_data("A" * characters, optimize=0)
        code.make()
        assert (code.version == version) is fits
        assert not fits or code.modules_count == form.modules


@pytest.mark.parametrize("stock_id", WITH_CODES)
def test_a_module_has_four_dots_of_a_head_of_203_to_the_inch_and_a_quiet_zone_of_four_modules(stock_id: str) -> None:
    # https://www.qrcode.com/en/howto/code.html: 4 dots a module, 4 modules of quiet zone; published.
    stock = load_stocks()[stock_id]
    assert stock.code_form is not None
    assert stock.module * 203 / 25.4 >= 4
    assert with_quiet_zone(0) == 2 * 4
    assert stock.module * with_quiet_zone(stock.code_form.modules) == pytest.approx(stock.code)
