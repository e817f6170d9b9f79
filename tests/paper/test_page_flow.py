"""What holds for every page: room for the punch, and type that can be read."""

import re
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader

from appreg.paper.documents.register_document import write_register_document
from appreg.paper.documents.report_document import write_report_document
from appreg.paper.page.page_canvas import PageCanvas
from appreg.paper.page.page_flow import PUNCHED, PageFlow
from tests.paper.paper_samples import REGISTER, REPORT
from tests.paper.pdf_reading import text_boxes

HOLES = 15.0
"""ISO 838:1974, from memory: holes of 6 mm, their middles 12 mm from the edge; so they reach 15 mm into the page."""


def test_no_text_stands_where_a_report_is_punched(tmp_path: Path) -> None:
    write_report_document(REPORT, tmp_path / "report.pdf")
    assert min(left for _, left, *_ in text_boxes(tmp_path / "report.pdf")) > HOLES + 2
    write_register_document(REGISTER, tmp_path / "register.pdf")
    assert min(top for _, _, top, *_ in text_boxes(tmp_path / "register.pdf")) > HOLES + 2


@pytest.mark.parametrize(("width", "height", "left"), [(210.0, 297.0, PUNCHED), (297.0, 210.0, 13.0)])
def test_a_page_is_punched_along_its_long_side(width: float, height: float, left: float) -> None:
    with PageCanvas(title="x", created=date(2026, 11, 24), width=width, height=height) as canvas:
        flow = PageFlow(canvas, running="x", footer="x")
        assert flow.left == left
        assert flow.left + flow.room == width - 13.0


def test_nothing_is_set_smaller_than_seven_points_or_in_grey(tmp_path: Path) -> None:
    """Common practice: what people sign for is black, and 7 points at least."""
    write_report_document(REPORT, tmp_path / "report.pdf")
    write_register_document(REGISTER, tmp_path / "register.pdf")
    for name in ("report.pdf", "register.pdf"):
        for page in PdfReader(tmp_path / name).pages:
            stream = page.get_contents()
            assert stream is not None
            drawn = stream.get_data().decode("latin-1")
            sizes = [float(size) for size in re.findall(r"/F\d+ ([\d.]+) Tf", drawn)]
            assert min(size for size in sizes if size != 1) >= 7
            assert {float(grey) for grey in re.findall(r"([\d.]+) g\b", drawn)} <= {0.0, 1.0}
