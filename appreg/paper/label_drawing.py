"""One label on its place: verdict band, tag, code, and the small lines; a full bar for a fail, an open frame for a pass."""

from functools import partial
from typing import Final

from appreg.core.dates_in_words import date_words
from appreg.core.records import LabelKind
from appreg.paper.label_content import LabelText
from appreg.paper.label_layout import Place
from appreg.paper.label_stock import Stock
from appreg.paper.page_canvas import MM_A_POINT, Ink, PageCanvas
from appreg.paper.qr_tables import best_code
from appreg.paper.text_fitting import elided, shrunk

WHITE: Final = 255
_CAP: Final = 0.711
"""Height of capitals, of the type size."""
_LEADING: Final = 1.22
"""From baseline to baseline, of the type size."""
_SMALLEST_TAG: Final = 0.5
"""A long tag shrinks to this share of its size before it is cut."""


def small_lines(label: LabelText) -> list[str]:
    """Return what stands below the tag, most important first."""
    verb = "" if label.kind is LabelKind.PASS else "failed "
    lines = [f"{verb}{date_words(label.on)} · {label.initials}"]
    if label.next_date is not None and label.kind is LabelKind.PASS:
        lines.append(f"next due {date_words(label.next_date)}")
    return lines + [line for line in (label.item, label.site) if line]


def draw_label(canvas: PageCanvas, stock: Stock, place: Place, label: LabelText) -> None:
    """Draw a label inside its place."""
    _draw_band(canvas, stock, place, label.kind)
    canvas.code(
        place.x_mm + place.w - stock.code, place.y_mm + place.h - stock.code, stock.code, best_code(label.payload)
    )
    left, room = place.x_mm + stock.margin, place.w - stock.margin - stock.code
    points = shrunk(
        label.tag,
        room,
        lambda text, size: canvas.measure(text, Ink(size, bold=True)),
        points=stock.tag_points,
        least=stock.tag_points * _SMALLEST_TAG,
    )
    tag_ink = Ink(points, bold=True)
    leading = stock.text_points * _LEADING * MM_A_POINT
    last = place.y_mm + place.h - stock.margin
    band_bottom = place.y_mm + stock.margin + stock.band
    small_top = last - (stock.lines - 1) * leading - stock.text_points * _CAP * MM_A_POINT
    tag_line = (band_bottom + small_top + points * _CAP * MM_A_POINT) / 2
    canvas.write(left, tag_line, elided(label.tag, room, partial(canvas.measure, ink=tag_ink)), tag_ink)
    ink = Ink(stock.text_points)
    for above, text in enumerate(small_lines(label)[: stock.lines]):
        baseline = last - (stock.lines - 1 - above) * leading
        canvas.write(left, baseline, elided(text, room, partial(canvas.measure, ink=ink)), ink)


def _draw_band(canvas: PageCanvas, stock: Stock, place: Place, kind: LabelKind) -> None:
    """Draw the verdict: white on a full bar where the item must not be used, black in an open frame where it passed."""
    x, y = place.x_mm + stock.margin, place.y_mm + stock.margin
    w = place.w - 2 * stock.margin
    points = stock.band / MM_A_POINT * 0.82
    baseline = y + (stock.band + points * _CAP * MM_A_POINT) / 2
    if kind is LabelKind.PASS:
        canvas.frame(x, y, w, stock.band, thickness=stock.band / 16)
        words, ink = "PASS", Ink(points, bold=True)
    else:
        canvas.bar(x, y, w, stock.band)
        words, ink = "DO NOT USE", Ink(points, bold=True, grey=WHITE)
    canvas.write(x + (w - canvas.measure(words, ink)) / 2, baseline, words, ink)
