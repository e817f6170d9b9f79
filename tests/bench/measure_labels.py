"""Labels against reportlab's own code widget, the memory they take, and how many codes are read after damage.

The widget draws the same text of 20 characters at the same place of the same sheet, with the tag beside it and nothing
else; its time grows with the count alone, so ten thousand labels are reckoned from a thousand.
"""

import io
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from appreg.paper.codes.qr_codes import SMALL, STURDY
from appreg.paper.labels.label_content import LabelText, NextDate
from appreg.paper.labels.label_layout import place_labels
from appreg.paper.labels.stock_reading import load_stocks
from tests.bench.bench_report import report
from tests.outside.test_damaged_codes import CODES, read_of
from tests.paper.paper_samples import TODAY, label, write_sheet

FEW, MANY = 1_000, 10_000
STOCK = load_stocks()["a4-24"]
DAMAGE = (
    ("a stripe of a tenth, version 2 at H in 16.6 mm", STURDY, "stripe", 24),
    ("a blur of 0.2 mm, version 2 at H in 16.6 mm", STURDY, "blur", 24),
    ("a blur of 0.2 mm, version 1 at M in 14.6 mm", SMALL, "blur", 22),
    ("a cylinder of 10 mm, version 1 at M in 14.6 mm", SMALL, "cylinder", 24),
)
"""What is done to the codes, and how many of 24 were read when it was first measured."""


def _labels(count: int) -> list[LabelText]:
    return [label(number, next_date=NextDate(TODAY, "test")) for number in range(count)]


def _own(count: int, folder: Path) -> float:
    """Seconds of this process alone: what else the machine does is none of it."""
    labels, out = _labels(count), folder / f"{count}-{time.perf_counter_ns()}.pdf"
    start = time.process_time()
    write_sheet(labels, stock=STOCK, start=1, out=out, created=TODAY)
    return time.process_time() - start


def _widgets(count: int) -> float:
    labels, places = _labels(count), place_labels(STOCK, count)
    start = time.process_time()
    canvas, sheet = Canvas(io.BytesIO(), pagesize=(STOCK.sheet_width * mm, STOCK.sheet_height * mm)), 1
    for text, place in zip(labels, places, strict=True):
        if place.sheet > sheet:
            canvas.showPage()
            sheet = place.sheet
        side = STOCK.code * mm
        drawing = Drawing(side, side)
        drawing.add(QrCodeWidget(text.payload, barLevel="H", barWidth=side, barHeight=side))
        x, y = place.x_mm * mm, (STOCK.sheet_height - place.y_mm - place.h) * mm
        renderPDF.draw(drawing, canvas, x + place.w * mm - side, y)
        canvas.drawString(x, y, text.tag)
    canvas.save()
    return time.process_time() - start


def _memory(count: int, folder: Path) -> float:
    """The most that drawing holds at a time, bytes a label."""
    labels = _labels(count)
    tracemalloc.start()
    write_sheet(labels, stock=STOCK, start=1, out=folder / f"memory-{count}.pdf", created=TODAY)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most / count


def main() -> int:
    """Print each ratio with its target; exit code 1 where one is missed."""
    with tempfile.TemporaryDirectory(prefix="appreg-bench-") as name:
        folder = Path(name)
        _own(24, folder)
        widgets = min(_widgets(FEW) for _ in range(2))
        few = min(_own(FEW, folder) for _ in range(3))
        many = _own(MANY, folder)
        small, large = (_memory(count, folder) for count in (FEW, MANY))
    held = [
        report(f"{FEW} labels, of reportlab's widget", few / widgets, 0.07, f"{few:.2f} of {widgets:.1f} s"),
        report(
            f"{MANY} labels, of reportlab's widget",
            many / widgets / (MANY / FEW),
            0.03,
            f"{many:.2f} s, reckoned from {FEW}",
        ),
        report("memory a label, of that in a file of a tenth", large / small, 1.1, f"{large / 1000:.1f} kB a label"),
    ]
    for what, form, harm, least in DAMAGE:
        read = read_of(form, harm)
        holds = read >= least
        print(f"{what:56} {read:4} of {CODES}  target {least}  {'ok' if holds else 'MISSED'}")
        held.append(holds)
    return 0 if all(held) else 1


if __name__ == "__main__":
    sys.exit(main())
