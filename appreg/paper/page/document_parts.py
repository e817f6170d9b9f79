"""Parts that every document has: title, particulars, counts, cautions."""

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.part_roles import Role
from appreg.paper.page.text_blocks import Block, Line, below, beside, gap, stacked

CAUTIONS: Final = (
    (
        "Results are those of the day and of the instrument named. An item can become unsafe at any time after; "
        "look at it before each use."
    ),
    (
        "An item marked FAIL stays out of use until it is repaired and has passed again. "
        "Never energise an item that failed its earth check."
    ),
    (
        "A limit or an interval printed here names its source and does not replace it. The standards in force, local codes, "
        "the maker's instructions and licensed practice come first."
    ),
    "Inspection and testing is work for competent persons. The duty holder decides about intervals and use.",
)
"""One sentence or two each, in the order of the page."""


KIND: Final = Ink(8.5)
TITLE: Final = Ink(21.0, bold=True)
LABEL: Final = Ink(7.0)
VALUE: Final = Ink(8.8)
FIGURE: Final = Ink(17.0, bold=True)
SECTION: Final = Ink(12.0, bold=True)
BODY: Final = Ink(8.5)
GUTTER: Final = 5.0


class Particular(Struct, frozen=True):
    """One fact with its label; several lines where the fact has several."""

    label: str
    lines: tuple[str, ...]


def put_particulars(flow: PageFlow, particulars: Sequence[Particular], *, columns: int) -> None:
    """Set facts in a grid, row by row."""
    width = (flow.room - GUTTER * (columns - 1)) / columns
    for start in range(0, len(particulars), columns):
        row = particulars[start : start + columns]
        blocks = [(place * (width + GUTTER), _particular(fact, width, flow.canvas)) for place, fact in enumerate(row)]
        flow.put(beside(blocks), after=2.4)


def _particular(fact: Particular, width: float, canvas: PageCanvas) -> Block:
    lines = [text for text in fact.lines if text] or ["not stated"]
    return stacked([Line(fact.label, LABEL), *(Line(text, VALUE) for text in lines)], width, canvas)


def put_counts(flow: PageFlow, counts: Sequence[tuple[int, str]]) -> None:
    """Set large figures, each with its word beneath."""
    width = flow.room / len(counts)
    blocks = [
        (place * width, stacked([Line(str(number), FIGURE), Line(word, LABEL)], width - GUTTER, flow.canvas))
        for place, (number, word) in enumerate(counts)
    ]
    flow.put(beside(blocks), after=3.0)


def put_section(flow: PageFlow, title: str, *, keep_with: float = 25.0) -> None:
    """Set a heading that stays with what follows it."""
    head = below([gap(2.5), stacked([Line(title, SECTION)], flow.room, flow.canvas)])
    flow.put(head, after=1.6, keep_with=keep_with, roles=(Role.SECTION,))
    flow.canvas.bookmark(title, flow.y - head.height)


def put_paragraphs(flow: PageFlow, paragraphs: Sequence[str], *, ink: Ink = BODY) -> None:
    """Set paragraphs over the full width."""
    for text in paragraphs:
        flow.put(stacked([Line(text, ink)], flow.room, flow.canvas), after=1.0)


def put_cautions(flow: PageFlow) -> None:
    """Set the cautions, kept together on one page."""
    block = below([stacked([Line(text, BODY)], flow.room, flow.canvas).moved(0.0, 0.6) for text in CAUTIONS])
    put_section(flow, "Cautions", keep_with=block.height + 2.0)
    flow.put(block)
