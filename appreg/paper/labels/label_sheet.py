"""Sheets of labels as a PDF file."""

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace as replaced

from appreg.core.values.print_offsets import UNMOVED, Offset
from appreg.errors import Incomplete
from appreg.paper.codes.code_series import WORTH_IT, series_rows
from appreg.paper.codes.qr_codes import qr_rows
from appreg.paper.labels.label_content import AnyLabel
from appreg.paper.labels.label_drawing import draw_label
from appreg.paper.labels.label_layout import Place
from appreg.paper.labels.label_stock import Stock
from appreg.paper.page.page_canvas import PageCanvas, tell_drawn
from appreg.progress import Progress


class SheetSummary(Struct, frozen=True, kw_only=True):
    """What was drawn."""

    count: int
    sheets: int
    missing_glyphs: tuple[str, ...]
    """Characters drawn as a box, since the typeface lacks them."""


def write_label_sheet(
    labels: Iterable[tuple[Place, AnyLabel]],
    *,
    stock: Stock,
    out: Path,
    replace: bool = False,
    created: date,
    offset: Offset = UNMOVED,
    note: str = "",
    progress: Progress | None = None,
) -> SheetSummary:
    """Write labels on their places, sheet after sheet; a file that is there gives way only with `replace`.

    `offset` moves all of it, for a printer that lays its pages elsewhere; `note` is written into the file's description. Raises Stopped, InputRefused, Incomplete (no label).
    """
    wanted = tuple(labels)
    if not wanted:
        raise Incomplete("There is no label to print; inspect an item or put one into the label tray first.")
    canvas = PageCanvas(
        title=f"Labels, {len(wanted)} on {stock.title}",
        created=created,
        width=stock.sheet_width,
        height=stock.sheet_height,
    )
    canvas.keep_size()
    if note:
        canvas.note(note)
    code = series_rows if len(wanted) >= WORTH_IT else qr_rows
    with canvas:
        for done, (place, label) in enumerate(wanted):
            while place.sheet > canvas.pages:
                canvas.add_page()
                tell_drawn(progress, done, len(wanted))
            draw_label(canvas, stock, moved(place, offset), label, code)
        tell_drawn(progress, len(wanted), len(wanted))
        canvas.save(out, replace=replace)
    return SheetSummary(count=len(wanted), sheets=canvas.pages, missing_glyphs=canvas.missing_glyphs)


def moved(place: Place, offset: Offset) -> Place:
    """The place where a label is drawn, so that a printer lays it where it belongs."""
    if offset == UNMOVED:
        return place
    return replaced(place, x_mm=place.x_mm + offset.right, y_mm=place.y_mm + offset.down)
