"""Stock for labels as data: where labels lie on a sheet or roll, their shape, and what fits on one."""

import math
from collections.abc import Iterator
from enum import StrEnum
from functools import cache
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.paper.codes.qr_codes import SMALL, STURDY, CodeForm, with_quiet_zone
from appreg.paper.page.type_sizes import MM_A_POINT

SHORTEST_MODULE_MM: Final = 4 * 25.4 / 203
"""Four dots of a print head of 203 to the inch; below this a code is not read reliably (common practice)."""
LEADING: Final = 1.22
"""From baseline to baseline of the small lines, of their type size."""
LARGEST_MM: Final = 1200.0
MOST_PLACES: Final = 2000
SMALLEST_POINTS: Final = 4.0
LARGEST_POINTS: Final = 200.0
NARROWEST_MM: Final = 8.0
"""Width of the column of text."""
_ACROSS, _DOWN = 0.8, 0.6
"""Sides of the rectangle that is written on within a circle, of its diameter: 3, 4 and 5."""
_ROUNDING: Final = 1e-6


class Feed(StrEnum):
    """How labels go through the printer."""

    SHEET = "sheet"
    ROLL = "roll"
    """One label a page."""


class Shape(StrEnum):
    """What a label looks like once it sticks."""

    FLAT = "flat"
    FLAG = "flag"
    """Folded round a cord, so that both halves stand out back to back and say the same."""
    ROUND = "round"


class Stock(Struct, frozen=True, kw_only=True):
    """One kind of stock; all lengths in mm, type sizes in points."""

    id: str
    title: str
    feed: Feed = Feed.SHEET
    shape: Shape = Shape.FLAT
    fold: float = 0.0
    """Of a flag: the width between its halves that lies round the cord and is kept free of print."""
    sheet_width: float
    sheet_height: float
    columns: int
    rows: int
    label_width: float
    label_height: float
    left: float
    """From the sheet's left edge to the first label."""
    top: float
    """From the sheet's top edge to the first label."""
    pitch_x: float
    """From one label's left edge to the next one's."""
    pitch_y: float
    margin: float
    """Kept free inside a label's edge, for printers that drift."""
    band: float
    """Height of the verdict's band."""
    code: float
    """Side of the box for a code with its quiet zone; where it is too small for one the tag stands alone, large."""
    tag_points: float
    text_points: float
    lines: int
    """Lines of small text that fit below the tag."""
    basis: str
    """Where the geometry comes from."""

    @property
    def places(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    @property
    def code_form(self) -> CodeForm | None:
        """The sturdiest code whose modules are wide enough in the box; None: the tag alone."""
        for form in (STURDY, SMALL):
            if self.code / with_quiet_zone(form.modules) >= SHORTEST_MODULE_MM:
                return form
        return None

    @property
    def code_side(self) -> float:
        """Side of the code that is drawn, mm; 0 where the tag stands alone."""
        return self.code if self.code_form is not None else 0.0

    @property
    def module(self) -> float:
        """Side of one module of the code, mm; 0 where there is none."""
        return self.code / with_quiet_zone(self.code_form.modules) if self.code_form is not None else 0.0

    @property
    def text_room(self) -> float:
        """Width beside the code, mm; all between the margins where there is none."""
        return self.label_width - self.margin - (self.code_side or self.margin)


class Face(Struct, frozen=True, kw_only=True):
    """What of a label is written on: a flat label all over, a flag twice, a round one within its circle."""

    stock: Stock
    """A flat label of the face's size."""
    corners: tuple[tuple[float, float], ...]
    """Top left corner of each, from the label's."""
    centred: bool = False
    """Its lines stand in the middle, where a circle is widest."""


@cache
def face_of(stock: Stock) -> Face:
    """The part of a label that words and code are fitted to."""
    if stock.shape is Shape.FLAG:
        half = (stock.label_width - stock.fold) / 2
        flat = replace(stock, shape=Shape.FLAT, label_width=half)
        return Face(stock=flat, corners=((0.0, 0.0), (half + stock.fold, 0.0)))
    if stock.shape is Shape.ROUND:
        across = stock.label_width - 2 * stock.margin
        width, height = across * _ACROSS, across * _DOWN
        flat = replace(stock, shape=Shape.FLAT, label_width=width, label_height=height, margin=0.0)
        corner = ((stock.label_width - width) / 2, (stock.label_height - height) / 2)
        return Face(stock=flat, corners=(corner,), centred=True)
    return Face(stock=stock, corners=((0.0, 0.0),))


def problems_of(stock: Stock) -> list[str]:
    """Say what keeps a stock from being printed: labels off the sheet or overlapping, a code too fine, text too tall."""
    return list(_size_problems(stock)) or list(_sheet_problems(stock)) + list(_face_problems(face_of(stock).stock))


def _size_problems(stock: Stock) -> Iterator[str]:
    sizes = (stock.sheet_width, stock.sheet_height, stock.label_width, stock.label_height)
    if not all(0 < size <= LARGEST_MM for size in sizes):
        yield f"sheet and label are above 0 and at most {LARGEST_MM:.0f} mm wide and tall"
    if not (stock.columns >= 1 and stock.rows >= 1):
        yield "it has no labels"
    elif stock.places > MOST_PLACES:
        yield f"it has more than {MOST_PLACES} labels"
    lengths = (stock.left, stock.top, stock.pitch_x, stock.pitch_y, stock.margin, stock.band, stock.code, stock.fold)
    if not all(0 <= length <= LARGEST_MM for length in lengths):
        yield f"a length is negative or beyond {LARGEST_MM:.0f} mm"
    if not all(SMALLEST_POINTS <= size <= LARGEST_POINTS for size in (stock.tag_points, stock.text_points)):
        yield f"type is not {SMALLEST_POINTS:.0f} to {LARGEST_POINTS:.0f} points large"
    if not 0 <= stock.lines <= MOST_PLACES:
        yield "its lines cannot be counted"


def _sheet_problems(stock: Stock) -> Iterator[str]:
    if _end(stock.left, stock.pitch_x, stock.columns, stock.label_width) > stock.sheet_width + _ROUNDING:
        yield "too wide"
    if _end(stock.top, stock.pitch_y, stock.rows, stock.label_height) > stock.sheet_height + _ROUNDING:
        yield "too tall"
    if stock.columns > 1 and stock.pitch_x < stock.label_width - _ROUNDING:
        yield "labels overlap sideways"
    if stock.rows > 1 and stock.pitch_y < stock.label_height - _ROUNDING:
        yield "labels overlap downwards"
    if stock.shape is Shape.ROUND and not math.isclose(stock.label_width, stock.label_height):
        yield "a round label is as wide as it is tall"
    if (stock.shape is Shape.FLAG) is not (stock.fold > 0):
        yield "a flag has a fold, and nothing else has"


def _face_problems(face: Stock) -> Iterator[str]:
    if face.margin + face.band + face.code_side > face.label_height + _ROUNDING:
        yield "band and code do not fit above each other"
    if face.text_room < NARROWEST_MM:
        yield f"less than {NARROWEST_MM:.0f} mm are left for text beside the code"
    if _text_height(face) > face.label_height + _ROUNDING:
        yield "the text does not fit"


def _end(first: float, pitch: float, count: int, size: float) -> float:
    return first + (count - 1) * pitch + size


def _text_height(stock: Stock) -> float:
    points = stock.tag_points + stock.lines * stock.text_points * LEADING
    return 2 * stock.margin + stock.band + points * MM_A_POINT
