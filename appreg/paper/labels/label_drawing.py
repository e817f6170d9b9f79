"""One label on its place: verdict band, tag, code, and the small lines; a full bar for a fail, an open frame for a pass."""

from functools import partial
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import LabelKind
from appreg.core.values.dates_in_words import date_words
from appreg.paper.codes.qr_codes import qr_rows
from appreg.paper.labels.label_content import LabelText
from appreg.paper.labels.label_layout import Place
from appreg.paper.labels.label_stock import LEADING, Stock
from appreg.paper.page.page_canvas import Ink, PageCanvas, printable
from appreg.paper.page.text_fitting import Measure, elided, shrunk, wrapped
from appreg.paper.page.type_sizes import CAPITALS, MM_A_POINT

WHITE: Final = 255
_BAND_FILL: Final = 0.82
"""Type size of the verdict, of the band's height."""
_SMALLEST_TAG: Final = 0.5
"""A long tag shrinks to this share of its size before it is cut."""
_VERDICTS: Final = {LabelKind.PASS: "PASS", LabelKind.DO_NOT_USE: "DO NOT USE"}


class CutText(Struct, frozen=True, kw_only=True):
    """A label's words as they are printed: cut where they do not fit."""

    verdict: str
    tag: str
    tag_points: float
    lines: tuple[str, ...]


def small_lines(label: LabelText) -> list[str]:
    """Return what stands below the tag, most important first, not yet fitted."""
    return [*_needed_lines(label), *_spare_lines(label)]


def fitted_lines(label: LabelText, stock: Stock, measure: Measure) -> tuple[str, ...]:
    """Fit them to a stock: what must be read is wrapped, and only what then still has room follows, cut."""
    room, needed = stock.text_room, _needed_lines(label)
    lines: list[str] = []
    for after, line in enumerate(needed, 1):
        free = stock.lines - len(lines) - (len(needed) - after)
        lines += wrapped(printable(line), room, measure, lines=free)
    return (*lines, *(elided(printable(line), room, measure) for line in _spare_lines(label)))[: stock.lines]


def is_cut(label: LabelText, stock: Stock, measure: Measure) -> bool:
    """Tell whether something that must be read does not fit a stock whole."""
    fitted = "".join(fitted_lines(label, stock, measure)).replace(" ", "")
    return not fitted.startswith("".join(printable(line) for line in _needed_lines(label)).replace(" ", ""))


def _needed_lines(label: LabelText) -> list[str]:
    passed = label.kind is LabelKind.PASS
    done = f"{'' if passed else 'failed '}{date_words(label.on, label.dates)}"
    lines = [" · ".join(part for part in (done, label.initials, label.colour if passed else "") if part)]
    if label.without and passed:
        lines.append(f"limited: without {', '.join(label.without)}")
    if label.next_date is not None and passed:
        lines.append(f"next due {date_words(label.next_date, label.dates)}")
    return [*lines, f"by {label.tester}"] if label.tester else lines


def _spare_lines(label: LabelText) -> list[str]:
    return [line for line in (label.item, label.site) if line]


def cut_text(canvas: PageCanvas, stock: Stock, label: LabelText) -> CutText:
    """Fit a label's words to a stock: a long tag shrinks first, then it is cut like the other lines."""
    room = stock.text_room
    tag = printable(label.tag)
    points = shrunk(
        tag,
        room,
        lambda text, size: canvas.measure(text, Ink(size, bold=True)),
        points=stock.tag_points,
        least=stock.tag_points * _SMALLEST_TAG,
    )
    measure = partial(canvas.measure, ink=Ink(stock.text_points))
    return CutText(
        verdict=_VERDICTS[label.kind],
        tag=elided(tag, room, partial(canvas.measure, ink=Ink(points, bold=True))),
        tag_points=points,
        lines=fitted_lines(label, stock, measure),
    )


def draw_label(canvas: PageCanvas, stock: Stock, place: Place, label: LabelText) -> None:
    """Draw a label inside its place."""
    text = cut_text(canvas, stock, label)
    _draw_band(canvas, stock, place, label.kind)
    right, bottom = place.x_mm + place.w, place.y_mm + place.h
    if stock.code_form is not None:
        canvas.code(right - stock.code, bottom - stock.code, stock.code, qr_rows(label.payload, stock.code_form))
    left = place.x_mm + stock.margin
    leading = stock.text_points * LEADING * MM_A_POINT
    first = bottom - stock.margin - (stock.lines - 1) * leading
    band_bottom = place.y_mm + stock.margin + stock.band
    small_top = first - stock.text_points * CAPITALS * MM_A_POINT
    tag_line = (band_bottom + small_top + text.tag_points * CAPITALS * MM_A_POINT) / 2
    canvas.write(left, tag_line, text.tag, Ink(text.tag_points, bold=True))
    for above, line in enumerate(text.lines):
        canvas.write(left, first + above * leading, line, Ink(stock.text_points))


def _draw_band(canvas: PageCanvas, stock: Stock, place: Place, kind: LabelKind) -> None:
    """Draw the verdict: white on a full bar where the item must not be used, black in an open frame where it passed."""
    x, y = place.x_mm + stock.margin, place.y_mm + stock.margin
    w = place.w - 2 * stock.margin
    words = _VERDICTS[kind]
    whole = stock.band / MM_A_POINT * _BAND_FILL
    points = shrunk(
        words, w * _BAND_FILL, lambda text, size: canvas.measure(text, Ink(size, bold=True)), points=whole, least=1
    )
    baseline = y + (stock.band + points * CAPITALS * MM_A_POINT) / 2
    if kind is LabelKind.PASS:
        canvas.frame(x, y, w, stock.band, thickness=stock.band / 16)
        ink = Ink(points, bold=True)
    else:
        canvas.bar(x, y, w, stock.band)
        ink = Ink(points, bold=True, grey=WHITE)
    canvas.write(x + (w - canvas.measure(words, ink)) / 2, baseline, words, ink)
