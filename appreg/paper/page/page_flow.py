"""Blocks flowing down pages: headings repeated, page numbers added at the end."""

from collections.abc import Sequence
from contextlib import ExitStack
from typing import Final

from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.part_roles import Role
from appreg.paper.page.text_blocks import (
    Block,
    Line,
    below,
    cells_of,
    draw,
    draw_aside,
    draw_plain,
    draw_row,
    gap,
    split,
    stacked,
)
from appreg.paper.page.text_fitting import elided
from appreg.paper.page.undrawn_text import BOXES_HEAD, undrawn_sentences

MARGIN: Final = 13.0
"""On the sides that are not punched, mm."""
PUNCHED: Final = 20.0
"""On the long side that is: ISO 838 has holes of 6 mm with their middles 12 mm from the edge, mm."""
FOOT: Final = 14.0
"""Kept for the footer, mm."""
FOOT_INK: Final = Ink(7.0)
RULE_GREY: Final = 170
_LEAST_ROOM: Final = 20.0
"""Less than this at the foot of a page is left empty, mm."""


class PageFlow:
    """A cursor that moves down the pages of a document."""

    def __init__(self, canvas: PageCanvas, *, running: str, footer: str) -> None:
        self.canvas = canvas
        upright = canvas.height > canvas.width
        self.left = PUNCHED if upright else MARGIN
        """Where lines begin, mm."""
        self._head_margin = MARGIN if upright else PUNCHED
        self.running = running
        """Stands at the head of every page but the first."""
        self.footer = footer
        self.head: Block | None = None
        """Column headings, repeated on every page while set."""
        self._in_table: ExitStack | None = None
        """Ends the table that is open."""
        self._cells = 0
        """Columns of its heads."""
        canvas.add_page()
        self.y = self._head_margin
        self._top = self.y

    @property
    def room(self) -> float:
        """Width between the margins, mm."""
        return self.canvas.width - self.left - MARGIN

    @property
    def bottom(self) -> float:
        """Where text must end, mm."""
        return self.canvas.height - FOOT

    def put(
        self,
        block: Block,
        *,
        after: float = 0.0,
        keep_with: float = 0.0,
        roles: Sequence[Role] = (Role.PARAGRAPH,),
    ) -> None:
        """Draw a block, on a new page where it or what must stay with it does not fit any more.

        `roles` are those of its parts, in their order, the last of any more; under the heads of a table they are cells.
        """
        if self.head is None:
            self._end_table()
        elif roles == (Role.PARAGRAPH,):
            roles = (Role.HEAD,)
        if self.y + block.height + keep_with > self.bottom and block.height + keep_with <= self.bottom - self._top:
            self._turn()
        while self.y + block.height > self.bottom and len(block.marks) > 1:
            block = self._put_part(block, roles)
        self._draw(block, roles)
        self.y += block.height + after

    def put_figure(self, block: Block, instead: str, *, after: float = 0.0) -> None:
        """Draw a block that is looked at as a whole; `instead` says in words what it shows. It fits on a page."""
        self._end_table()
        if not self.has_room(block.height):
            self._turn()
        with self.canvas.piece(Role.FIGURE, instead):
            draw_plain(block, self.canvas, self.left, self.y)
        self.y += block.height + after

    def _draw(self, block: Block, roles: Sequence[Role]) -> None:
        if not block.marks:
            draw(block, self.canvas, self.left, self.y)
        elif self._in_table:
            cells = self._cells if roles == (Role.CELL,) else 0
            draw_row(block, self.canvas, self.left, self.y, role=roles[0], cells=cells)
        else:
            draw(block, self.canvas, self.left, self.y, roles)

    def _end_table(self) -> None:
        if self._in_table:
            self._in_table.close()
            self._in_table = None

    def _put_part(self, block: Block, roles: Sequence[Role]) -> Block:
        """Draw as much of a block as fits, turn the page, and return the rest."""
        if self.bottom - self.y < _LEAST_ROOM:
            self._turn()
            return block
        part, rest = split(block, self.bottom - self.y)
        self._draw(part, roles)
        self._turn()
        return rest

    def has_room(self, height: float) -> bool:
        """Tell whether so much fits on what is left of the page, mm."""
        return self.y + height <= self.bottom

    def turn_for(self, height: float) -> None:
        """Turn the page, unless so much would not fit on any."""
        if height <= self.bottom - self._top:
            self._turn()

    def put_row(self, block: Block) -> None:
        """Draw a row of a table and the quiet rule below it."""
        self.put(block, after=1.0, roles=(Role.CELL,))
        self.canvas.rule(self.left, self.y, self.left + self.room, thickness=0.12, grey=RULE_GREY)
        self.y += 1.2

    def put_head(self, head: Block) -> None:
        """Draw column headings now, and on each new page until taken off."""
        self.head = None
        self._end_table()
        if self.y + head.height + FOOT > self.bottom:
            self._turn()
        self.head = head
        self._in_table = ExitStack()
        self._in_table.enter_context(self.canvas.part(Role.TABLE))
        self._cells = cells_of(head)
        draw_row(head, self.canvas, self.left, self.y, role=Role.HEAD, cells=self._cells)
        self._end_head(head)

    def strong_rule(self, *, after: float) -> None:
        """Draw a black rule across the page."""
        self.canvas.rule(self.left, self.y, self.left + self.room, thickness=0.5)
        self.y += after

    def _draw_head(self) -> None:
        if self.head is not None:
            draw_aside(self.head, self.canvas, self.left, self.y)
            self._end_head(self.head)

    def _end_head(self, head: Block) -> None:
        self.y += head.height + 0.6
        self.canvas.rule(self.left, self.y, self.left + self.room, thickness=0.3)
        self.y += 1.2

    def _turn(self) -> None:
        self.canvas.add_page()
        self.y = self._head_margin
        text = elided(self.running, self.room, lambda words: self.canvas.measure(words, FOOT_INK))
        with self.canvas.aside():
            self.canvas.write(self.left, self.y + 1.5, text, FOOT_INK)
        self.y += 5.0
        self._draw_head()
        self._top = self.y

    def finish(self) -> None:
        """Say which characters could not be drawn, and add footers with page numbers to every page."""
        self._tell_undrawn()
        self._end_table()
        total = self.canvas.pages
        baseline = self.canvas.height - FOOT / 2
        for page in range(1, total + 1):
            self.canvas.turn_to(page)
            number = f"page {page} of {total}"
            width = self.canvas.measure(number, FOOT_INK)
            self.canvas.rule(self.left, baseline - 4.0, self.left + self.room, thickness=0.12, grey=RULE_GREY)
            left = elided(self.footer, self.room - width - 4, lambda words: self.canvas.measure(words, FOOT_INK))
            with self.canvas.aside():
                self.canvas.write(self.left, baseline, left, FOOT_INK)
                self.canvas.write(self.left + self.room - width, baseline, number, FOOT_INK)

    def _tell_undrawn(self) -> None:
        everywhere = self.canvas.lacking(self.footer + (self.running if self.canvas.pages > 1 else ""))
        told = undrawn_sentences(self.canvas.undrawn, everywhere)
        if told:
            self.head = None
            head = stacked([Line(BOXES_HEAD, Ink(12.0, bold=True))], self.room, self.canvas)
            body = stacked([Line(each, Ink(8.5)) for each in told], self.room, self.canvas).as_part(1)
            self.put(below([gap(2.5), head, body]), roles=(Role.SECTION, Role.PARAGRAPH))
