"""One label on its place: verdict band, tag, code, and the small lines; each verdict in a form of its own."""

from typing import Final

from appreg.core.records.kept_records import LabelKind
from appreg.paper.codes.qr_codes import qr_rows
from appreg.paper.labels.label_content import LabelText
from appreg.paper.labels.label_fitting import SetLine, fit_label
from appreg.paper.labels.label_layout import Place
from appreg.paper.labels.label_stock import Stock
from appreg.paper.page.page_canvas import Ink, PageCanvas

WHITE: Final = 255
_THIN: Final = 1 / 16
"""Thickness of the lines round a band, of its height."""


def draw_label(canvas: PageCanvas, stock: Stock, place: Place, label: LabelText) -> None:
    """Draw a label inside its place."""
    fitted = fit_label(label, stock, canvas.measure)
    _draw_band(canvas, stock, place, label, fitted.verdict)
    right, bottom = place.x_mm + place.w, place.y_mm + place.h
    if stock.code_form is not None:
        canvas.code(right - stock.code, bottom - stock.code, stock.code, qr_rows(label.payload, stock.code_form))
    for line in (fitted.tag, *fitted.lines):
        x, y = place.x_mm + stock.margin, place.y_mm + line.baseline
        if line.lead:
            canvas.write(x, y, line.lead, line.lead_ink)
            x += canvas.measure(line.lead, line.lead_ink)
        canvas.write(x, y, line.text, line.ink)


def _draw_band(canvas: PageCanvas, stock: Stock, place: Place, label: LabelText, verdict: SetLine) -> None:
    """White on a full bar: do not use; black in an open frame: tested; black between two lines: looked at."""
    x, y = place.x_mm + stock.margin, place.y_mm + stock.margin
    w, thin = place.w - 2 * stock.margin, stock.band * _THIN
    ink = verdict.ink
    if label.kind is LabelKind.DO_NOT_USE:
        canvas.bar(x, y, w, stock.band)
        ink = Ink(ink.points, bold=True, grey=WHITE)
    elif label.looked_only:
        for edge in (y + thin / 2, y + stock.band - thin / 2):
            canvas.rule(x, edge, x + w, thickness=thin)
    else:
        canvas.frame(x, y, w, stock.band, thickness=thin)
    canvas.write(x + (w - canvas.measure(verdict.text, ink)) / 2, place.y_mm + verdict.baseline, verdict.text, ink)
