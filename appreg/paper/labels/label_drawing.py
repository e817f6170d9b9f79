"""One label on its place: verdict band, tag, code, and the small lines; each verdict in a form of its own."""

from collections.abc import Callable
from typing import Final

from msgspec.structs import replace

from appreg.paper.codes.qr_codes import CodeForm, qr_rows
from appreg.paper.labels.label_content import AnyLabel, Band
from appreg.paper.labels.label_fitting import FittedLabel, SetLine, fit_label, width_of
from appreg.paper.labels.label_layout import Place
from appreg.paper.labels.label_stock import Face, Stock, face_of
from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.part_roles import Role

WHITE: Final = 255
Rows = tuple[int, ...]
"""A code's rows of modules."""
_THIN: Final = 1 / 16
"""Thickness of the lines round a band, of its height."""


def draw_label(
    canvas: PageCanvas, stock: Stock, place: Place, label: AnyLabel, code: Callable[[str, CodeForm], Rows] = qr_rows
) -> None:
    """Draw a label inside its place: once, or on both halves of a flag; `code` makes its code."""
    face, fitted = face_of(stock), fit_label(label, stock, canvas.measure)
    form = face.stock.code_form
    rows = () if form is None else code(label.payload, form)
    for number, (right, down) in enumerate(face.corners):
        at = replace(
            place,
            x_mm=place.x_mm + right,
            y_mm=place.y_mm + down,
            w=face.stock.label_width,
            h=face.stock.label_height,
        )
        # The other half of a flag says the same again, which nobody needs to hear.
        again = number > 0
        with canvas.aside() if again else canvas.piece(Role.PARAGRAPH):
            _draw_face(canvas, face, at, fitted, label.band)
        if rows:
            side = face.stock.code
            # Without a band the code has the whole height beside the name.
            free = (at.h - side) / (2 if label.band is Band.NONE else 1)
            with canvas.aside() if again else canvas.piece(Role.FIGURE, f"Code that scans as {label.payload}"):
                canvas.code(at.x_mm + at.w - side, at.y_mm + free, side, rows)


def _draw_face(canvas: PageCanvas, face: Face, place: Place, fitted: FittedLabel, band: Band) -> None:
    if band is not Band.NONE:
        _draw_band(canvas, face.stock, place, band, fitted.verdict)
    for line in (fitted.tag, *fitted.lines):
        x, y = place.x_mm + face.stock.margin, place.y_mm + line.baseline
        if face.centred:
            x += (face.stock.text_room - width_of(line, canvas.measure)) / 2
        if line.lead:
            canvas.write(x, y, line.lead, line.lead_ink)
            x += canvas.measure(line.lead, line.lead_ink)
        canvas.write(x, y, line.text, line.ink)


def _draw_band(canvas: PageCanvas, stock: Stock, place: Place, band: Band, verdict: SetLine) -> None:
    x, y = place.x_mm + stock.margin, place.y_mm + stock.margin
    w, thin = place.w - 2 * stock.margin, stock.band * _THIN
    ink = verdict.ink
    if band is Band.BAR:
        canvas.bar(x, y, w, stock.band)
        ink = Ink(ink.points, bold=True, grey=WHITE)
    elif band is Band.RULES:
        for edge in (y + thin / 2, y + stock.band - thin / 2):
            canvas.rule(x, edge, x + w, thickness=thin)
    else:
        canvas.frame(x, y, w, stock.band, thickness=thin)
    canvas.write(x + (w - canvas.measure(verdict.text, ink)) / 2, place.y_mm + verdict.baseline, verdict.text, ink)
