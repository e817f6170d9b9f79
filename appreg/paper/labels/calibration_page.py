"""A page that shows where a printer lays what it prints: crosses at the labels' corners, and rulers."""

from datetime import date
from functools import partial
from pathlib import Path
from typing import Final

from appreg.core.values.print_offsets import UNMOVED, Offset
from appreg.paper.labels.label_layout import Place, place_labels
from appreg.paper.labels.label_sheet import moved
from appreg.paper.labels.label_stock import Feed, Shape, Stock
from appreg.paper.page.page_canvas import Ink, PageCanvas, printable
from appreg.paper.page.part_roles import Role
from appreg.paper.page.text_fitting import wrapped

_HAIR: Final = 0.1
_ARM: Final = 2.0
"""From the middle of a cross to its end."""
_RULED: Final = 100.0
"""Length of a ruler, where the page is so long."""
_TICKS: Final = ((10, 3.0), (5, 2.2), (1, 1.4))
"""Every so many mm a tick of that length."""
_TYPE: Final = Ink(9)
_FIGURES: Final = Ink(6)
_LINE: Final = 4.6
_FITTED: Final = "Where they are shorter or longer the page was fitted to the paper: print it again at full size (100 %, no scaling)."
_HOLD: Final = (
    "Lay the page over a sheet of labels and hold both to the light. Each corner of a label belongs in the middle of a "
    "cross. Measure how far the crosses lie off, and which way the print has to move: that is the printer's offset."
)
_KEPT: Final = "An offset is kept in the settings, say printer_offsets = office: 0.6 right 1.2 up; print this page again with it, and look."
_FIRST: Final = 20.0
"""Where rulers begin, from the page's edges."""


def write_calibration(
    stock: Stock, *, out: Path, replace: bool = False, created: date, printer: str = "", offset: Offset = UNMOVED
) -> None:
    """Write one page for a stock, moved as the labels of that printer are; raises InputRefused for a bad file."""
    canvas = PageCanvas(
        title=f"Calibration, {stock.title}", created=created, width=stock.sheet_width, height=stock.sheet_height
    )
    canvas.keep_size()
    with canvas:
        canvas.add_page()
        across = _ruler_length(stock.sheet_width)
        along = _ruler_length(stock.sheet_height)
        with canvas.piece(
            Role.FIGURE, f"A cross at each corner of the labels; rulers of {across:.0f} and {along:.0f} mm"
        ):
            for place in place_labels(stock, stock.places):
                _draw_corners(canvas, stock, moved(place, offset))
            _draw_ruler(canvas, stock, offset, across, level=True)
            _draw_ruler(canvas, stock, offset, along, level=False)
        if stock.feed is Feed.SHEET:
            _draw_words(canvas, stock, sentences(stock, across, along, printer, offset))
        canvas.save(out, replace=replace)


def sentences(stock: Stock, across: float, along: float, printer: str, offset: Offset) -> tuple[str, ...]:
    """What to do with the page, and how it was moved."""
    how = f"Moved {offset.words} for {printer}." if offset.words else "Nothing is moved on this page."
    measure = f"Measure the rulers: the level one has {across:.0f} mm, the upright one {along:.0f} mm."
    return (
        f"Calibration page · {stock.title}",
        f"{measure} {_FITTED}",
        _HOLD,
        f"{how} {_KEPT}",
    )


def _ruler_length(side: float) -> float:
    return min(_RULED, side - 2 * min(_FIRST, side / 10) - side % 1) // 1


def _draw_corners(canvas: PageCanvas, stock: Stock, place: Place) -> None:
    for x in (place.x_mm, place.x_mm + place.w):
        for y in (place.y_mm, place.y_mm + place.h):
            _draw_cross(canvas, x, y)
    if stock.shape is Shape.FLAG:
        half = (place.w - stock.fold) / 2
        for x in (place.x_mm + half, place.x_mm + half + stock.fold):
            canvas.bar(x - _HAIR / 2, place.y_mm, _HAIR, place.h)
    if stock.shape is Shape.ROUND:
        _draw_cross(canvas, place.x_mm + place.w / 2, place.y_mm + place.h / 2)


def _draw_cross(canvas: PageCanvas, x: float, y: float) -> None:
    canvas.bar(x - _ARM, y - _HAIR / 2, 2 * _ARM, _HAIR)
    canvas.bar(x - _HAIR / 2, y - _ARM, _HAIR, 2 * _ARM)


def _draw_ruler(canvas: PageCanvas, stock: Stock, offset: Offset, length: float, *, level: bool) -> None:
    """From the ruler's first tick to its last there are as many mm as its figures say."""
    x = min(_FIRST, stock.sheet_width / 10) + offset.right
    y = min(_FIRST, stock.sheet_height / 10) + offset.down
    if level:
        canvas.bar(x, y - _HAIR / 2, length, _HAIR)
    else:
        canvas.bar(x - _HAIR / 2, y, _HAIR, length)
    for mm in range(int(length) + 1):
        tall = next(tall for every, tall in _TICKS if mm % every == 0)
        if level:
            canvas.bar(x + mm - _HAIR / 2, y, _HAIR, tall)
        else:
            canvas.bar(x, y + mm - _HAIR / 2, tall, _HAIR)
        if mm and mm % 10 == 0:
            below, beside = (y + tall + 2.2, x + mm - 1.2) if level else (y + mm + 0.7, x + tall + 0.6)
            canvas.write(beside, below, f"{mm}", _FIGURES)


def _draw_words(canvas: PageCanvas, stock: Stock, said: tuple[str, ...]) -> None:
    """On white, over the crosses that stand there, in the middle of the sheet."""
    room = min(stock.sheet_width - 2 * _FIRST - 10, 150.0)
    inks = [Ink(_TYPE.points + 2, bold=True), *(_TYPE for _ in said[1:])]
    paragraphs = [
        (ink, wrapped(printable(sentence), room, partial(_width, canvas, ink), lines=6))
        for sentence, ink in zip(said, inks, strict=True)
    ]
    x, y = (stock.sheet_width - room) / 2, stock.sheet_height * 0.48
    count = sum(len(parts) + 1 for _, parts in paragraphs)
    with canvas.aside():
        canvas.bar(x - 4, y - 7, room + 8, count * _LINE + 6, grey=255)
    for ink, parts in paragraphs:
        with canvas.piece(Role.TITLE if ink is not _TYPE else Role.PARAGRAPH):
            for text in parts:
                canvas.write(x, y, text, ink)
                y += _LINE
        y += _LINE


def _width(canvas: PageCanvas, ink: Ink, text: str) -> float:
    return canvas.measure(text, ink)
