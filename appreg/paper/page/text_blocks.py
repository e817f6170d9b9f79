"""Blocks of text laid out before anything is drawn: each mark has its place, each block its height."""

from collections.abc import Iterable, Sequence
from enum import Enum
from functools import partial
from itertools import groupby
from operator import attrgetter
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.paper.page.page_canvas import Ink, PageCanvas, printable
from appreg.paper.page.part_roles import Role
from appreg.paper.page.text_fitting import wrapped
from appreg.paper.page.type_sizes import CAPITALS, MM_A_POINT

LEADING: Final = 1.25
"""From baseline to baseline, of the type size."""
WHOLE: Final = 200
"""More lines than the longest field of a record takes: documents cut nothing off."""
ASCENT: Final = 0.95
"""From the top of a line to its baseline, of the type size."""


class Mark(Struct, frozen=True, kw_only=True):
    """One line of text; x and baseline in mm from the block's top left corner."""

    x: float
    y: float
    text: str
    ink: Ink
    cell: int = 0
    """Which of the parts of its block it belongs to, each read as a whole."""


class Form(Enum):
    """What stands behind a verdict's word; the three differ in black and white."""

    BAR = "full bar"
    FRAME = "open frame"
    DASHES = "dashed frame"


class Badge(Struct, frozen=True, kw_only=True):
    """A verdict's form, behind its word."""

    x: float
    y: float
    w: float
    h: float
    form: Form
    thickness: float = 0.35


class Block(Struct, frozen=True):
    """Text and badges with the height they take, mm."""

    height: float
    marks: tuple[Mark, ...] = ()
    badges: tuple[Badge, ...] = ()

    def moved(self, x: float, y: float) -> "Block":
        """Return the block shifted right and down; it reaches down as far as it is shifted."""
        return Block(
            self.height + y,
            tuple(Mark(x=m.x + x, y=m.y + y, text=m.text, ink=m.ink, cell=m.cell) for m in self.marks),
            tuple(replace(b, x=b.x + x, y=b.y + y) for b in self.badges),
        )

    def as_part(self, number: int) -> "Block":
        """Return the block as one part of another, to be read as a whole."""
        marks = tuple(Mark(x=m.x, y=m.y, text=m.text, ink=m.ink, cell=number) for m in self.marks)
        return Block(self.height, marks, self.badges)


class Line(Struct, frozen=True):
    """A text to be set in a column, in as many lines as it takes."""

    text: str
    ink: Ink


def gap(height: float) -> Block:
    """Return an empty block."""
    return Block(height)


def stacked(lines: Iterable[Line], room: float, canvas: PageCanvas) -> Block:
    """Set texts one below the other in a column of a width; empty texts take no line."""
    marks: list[Mark] = []
    y = 0.0
    for line in lines:
        if line.text:
            size = line.ink.points * MM_A_POINT
            for piece in wrapped(printable(line.text), room, partial(canvas.measure, ink=line.ink), lines=WHOLE):
                marks.append(Mark(x=0.0, y=y + ASCENT * size, text=piece, ink=line.ink))
                y += LEADING * size
    return Block(y, tuple(marks))


def below(blocks: Iterable[Block]) -> Block:
    """Put blocks one below the other."""
    marks: list[Mark] = []
    badges: list[Badge] = []
    y = 0.0
    for block in blocks:
        placed = block.moved(0.0, y)
        marks += placed.marks
        badges += placed.badges
        y += block.height
    return Block(y, tuple(marks), tuple(badges))


def beside(blocks: Sequence[tuple[float, Block]]) -> Block:
    """Put blocks side by side, each at its x and a part of its own."""
    placed = [block.moved(x, 0.0).as_part(number) for number, (x, block) in enumerate(blocks)]
    return Block(
        max((block.height for block in placed), default=0.0),
        tuple(mark for block in placed for mark in block.marks),
        tuple(badge for block in placed for badge in block.badges),
    )


def badge(words: str, width: float, points: float, form: Form, canvas: PageCanvas) -> Block:
    """Return a verdict: white on a full bar, or black in an open or a dashed frame."""
    size = points * MM_A_POINT
    height = size * 1.5
    ink = Ink(points, bold=True, grey=255 if form is Form.BAR else 0)
    x = (width - canvas.measure(words, ink)) / 2
    mark = Mark(x=x, y=(height + CAPITALS * size) / 2, text=words, ink=ink)
    return Block(height, (mark,), (Badge(x=0.0, y=0.0, w=width, h=height, form=form),))


def split(block: Block, room: float) -> tuple[Block, Block]:
    """Cut a block that is too tall for any page between two lines; badges stay with the lines they stand among."""
    first = tuple(mark for mark in block.marks if mark.y <= room)
    rest = tuple(mark for mark in block.marks if mark.y > room)
    if not first or not rest:
        return block, Block(0.0)
    cut = min(mark.y - ASCENT * mark.ink.points * MM_A_POINT for mark in rest)
    above = tuple(shape for shape in block.badges if shape.y < cut)
    under = tuple(shape for shape in block.badges if shape.y >= cut)
    return Block(room, first, above), Block(block.height, rest, under).moved(0.0, -cut)


def draw(block: Block, canvas: PageCanvas, x: float, y: float, roles: Sequence[Role] = (Role.PARAGRAPH,)) -> None:
    """Draw a block with its top left corner at a point of the page; `roles` are those of its parts, the last of any more."""
    if block.badges:
        with canvas.aside():
            _draw_badges(block, canvas, x, y)
    for cell, marks in groupby(block.marks, attrgetter("cell")):
        with canvas.piece(roles[min(cell, len(roles) - 1)]):
            for mark in marks:
                canvas.write(x + mark.x, y + mark.y, mark.text, mark.ink)


def draw_row(block: Block, canvas: PageCanvas, x: float, y: float, *, role: Role, cells: int) -> None:
    """Draw a row of a table, each of its parts a cell; one that holds nothing is a cell too."""
    if block.badges:
        with canvas.aside():
            _draw_badges(block, canvas, x, y)
    filled: dict[int, list[Mark]] = {}
    for mark in block.marks:
        filled.setdefault(mark.cell, []).append(mark)
    with canvas.part(Role.ROW):
        for cell in range(max(cells, cells_of(block))):
            with canvas.piece(role):
                for mark in filled.get(cell, ()):
                    canvas.write(x + mark.x, y + mark.y, mark.text, mark.ink)


def cells_of(block: Block) -> int:
    """How many parts it has, up to the last that holds text."""
    return max((mark.cell for mark in block.marks), default=-1) + 1


def draw_aside(block: Block, canvas: PageCanvas, x: float, y: float) -> None:
    """Draw a block that is not read: heads that come again."""
    with canvas.aside():
        draw_plain(block, canvas, x, y)


def draw_plain(block: Block, canvas: PageCanvas, x: float, y: float) -> None:
    """Draw all of a block within whatever part is open: it is told as a whole, or not at all."""
    _draw_badges(block, canvas, x, y)
    for mark in block.marks:
        canvas.write(x + mark.x, y + mark.y, mark.text, mark.ink)


def _draw_badges(block: Block, canvas: PageCanvas, x: float, y: float) -> None:
    for shape in block.badges:
        left, top = x + shape.x, y + shape.y
        if shape.form is Form.BAR:
            canvas.bar(left, top, shape.w, shape.h)
        else:
            dashed = shape.form is Form.DASHES
            canvas.frame(left, top, shape.w, shape.h, thickness=shape.thickness, dashed=dashed)
