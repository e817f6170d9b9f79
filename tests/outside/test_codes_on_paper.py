"""Codes on printed sheets, read by a reader that did not draw them (zxing-cpp on pages rendered by pdfium)."""

from pathlib import Path

import pytest
import qrcode
import zxingcpp

from appreg.core.records.kept_records import LabelKind
from appreg.paper.codes.qr_codes import LONGEST, MODULES, VERSION, uid_in, with_quiet_zone
from appreg.paper.labels.label_sheet import write_label_sheet
from appreg.paper.labels.label_stock import load_stocks
from tests.paper.paper_samples import TODAY, label, uid
from tests.paper.pdf_reading import page_image


@pytest.mark.parametrize("stock_id", ["a4-24", "a4-40", "a4-65"])
@pytest.mark.parametrize("dpi", [200, 300])
def test_every_code_of_a_full_sheet_is_read_and_leads_back_to_its_item(tmp_path: Path, stock_id: str, dpi: int) -> None:
    stock = load_stocks()[stock_id]
    out = tmp_path / "labels.pdf"
    kinds = (LabelKind.PASS, LabelKind.DO_NOT_USE)
    # Every label as full as a book can make it: next date, tester with firm, colour of the period.
    full = {"next_date": TODAY, "tester": "Ada Bramley, Wren, Daughters and Granddaughters Ltd", "colour": "light blue"}
    labels = [label(number, kind=kinds[number % 2], **full) for number in range(stock.places)]
    write_label_sheet(labels, stock=stock, start=1, out=out, created=TODAY)
    codes = zxingcpp.read_barcodes(page_image(out, dpi=dpi))
    assert len(codes) == stock.places
    assert {uid_in(code.text) for code in codes} == {uid(number) for number in range(stock.places)}
    assert {code.ec_level for code in codes} == {"M"}


def test_fifty_characters_at_level_m_need_version_3_of_this_size() -> None:
    # ISO/IEC 18004, alphanumeric at level M: version 2 holds 38, version 3 holds 61; published.
    code = qrcode.QRCode(error_correction=qrcode.ERROR_CORRECT_M)
    code.add_data("A" * 50, optimize=0)
    code.make()
    assert code.version == 3
    assert code.modules_count == 29
    assert round(code.modules_count * 0.254, 3) == 7.366
    assert round(with_quiet_zone(code.modules_count) * 0.254, 3) == 9.398


def test_our_codes_are_version_2_of_25_modules_for_up_to_38_characters() -> None:
    # ISO/IEC 18004; published. A side has 17 modules and 4 more for each version.
    assert VERSION == 2
    assert MODULES == 17 + 4 * VERSION
    assert LONGEST == 38


@pytest.mark.parametrize("stock_id", ["a4-24", "a4-40", "a4-65"])
def test_a_module_has_four_printer_dots_and_a_quiet_zone_of_four_modules(stock_id: str) -> None:
    # https://www.qrcode.com/en/howto/code.html: 4 dots a module (0.33 mm at 300 dpi), 4 modules of quiet zone; published.
    stock = load_stocks()[stock_id]
    assert stock.module >= 0.33
    assert with_quiet_zone(0) == 2 * 4
    assert stock.module * with_quiet_zone(MODULES) == pytest.approx(stock.code)
