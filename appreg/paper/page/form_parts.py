"""Parts of sheets that are filled in by hand, and of their tables: boxes, lines to write on, columns, aligned figures."""

import re
from collections.abc import Sequence
from typing import Final

from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.text_blocks import Badge, Block, Form, Line, beside, stacked
from appreg.paper.page.type_sizes import CAPITALS, MM_A_POINT

CAPTION: Final = Ink(7.0)
"""Of a box or a line: the smallest type there is."""
COLUMN_GAP: Final = 2.0
"""Between columns, mm."""
_BOX: Final = 3.4
_HAIR: Final = 0.2
_WRITTEN: Final = 7.5
"""What a hand needs for a line, mm."""
_PIVOT: Final = 0.42
"""Where the decimal point of a column stands, of its width."""
_FIGURE: Final = re.compile(r"^([<>≤≥]?\s*\d*)(.*)$", re.DOTALL | re.ASCII)


def widths_of(weights: Sequence[float], room: float) -> tuple[float, ...]:
    """Share out a width by weights, mm."""
    return tuple(room * weight / sum(weights) for weight in weights)


def row_of(cells: Sequence[Block], widths: Sequence[float]) -> Block:
    """Put the cells of a row into columns of these widths."""
    return beside([(sum(widths[:place]), cell) for place, cell in enumerate(cells)])


def text_row(lines: Sequence[Sequence[Line]], widths: Sequence[float], canvas: PageCanvas) -> Block:
    """Set a row of texts, in each column one below the other."""
    pairs = zip(lines, widths, strict=True)
    return row_of([stacked(own, width - COLUMN_GAP, canvas) for own, width in pairs], widths)


def head_row(words: Sequence[str], widths: Sequence[float], canvas: PageCanvas) -> Block:
    """Set the heads of columns."""
    return text_row([[Line(word, CAPTION)] for word in words], widths, canvas)


def open_box(width: float, height: float) -> Block:
    """Return an empty frame to write into, mm."""
    frame = Badge(x=0.0, y=0.0, w=width, h=height, form=Form.FRAME, thickness=_HAIR)
    return Block(height, (), (frame,))


def tick_box(words: str, width: float, canvas: PageCanvas, ink: Ink = CAPTION) -> Block:
    """Return a small box with what it stands for beside it."""
    return beside([(0.0, open_box(_BOX, _BOX)), (_BOX + 1.4, stacked([Line(words, ink)], width - _BOX - 1.4, canvas))])


def writing_line(caption: str, width: float, canvas: PageCanvas, *, height: float = _WRITTEN) -> Block:
    """Return a line to write on, with what belongs there beneath it."""
    rule = Badge(x=0.0, y=height, w=width, h=_HAIR, form=Form.BAR)
    under = stacked([Line(caption, CAPTION)], width, canvas).moved(0.0, height + 0.5)
    return Block(max(under.height, height + 1.0), under.marks, (rule,))


def writing_lines(captions: Sequence[str], widths: Sequence[float], canvas: PageCanvas) -> Block:
    """Return lines to write on side by side."""
    pairs = zip(captions, widths, strict=True)
    return row_of([writing_line(caption, width - COLUMN_GAP, canvas) for caption, width in pairs], widths)


def aligned(text: str, width: float, ink: Ink, canvas: PageCanvas) -> Block:
    """Set a reading so that the decimal points of its column stand one above the other, where it has the room."""
    found = _FIGURE.match(text)
    whole = found[1] if found else ""
    pivot = width * _PIVOT
    left = canvas.measure(whole, ink)
    block = stacked([Line(text, ink)], width, canvas)
    fits = left <= pivot and pivot - left + canvas.measure(text, ink) <= width
    if not any(sign.isdigit() for sign in whole) or not fits or len(block.marks) != 1:
        return block
    return Block(block.height, block.moved(pivot - left, 0.0).marks)


def loud_bar(words: str, width: float, points: float, canvas: PageCanvas, *, form: Form = Form.BAR) -> Block:
    """Return words on a bar over the whole width, in as many lines as they take: nobody reads past it."""
    ink = Ink(points, bold=True, grey=255 if form is Form.BAR else 0)
    pad = points * MM_A_POINT * 0.45
    text = stacked([Line(words, ink)], width - 2 * pad, canvas)
    height = text.height + pad + (1.0 - CAPITALS) * pad
    return Block(
        height, text.moved(pad, pad * 0.6).marks, (Badge(x=0.0, y=0.0, w=width, h=height, form=form, thickness=0.8),)
    )
