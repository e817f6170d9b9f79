"""The annex of a site's register: every reading of each item, with its limit and how that came about."""

from collections.abc import Sequence
from typing import Final

from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_rows import (
    GUTTER,
    HEAD,
    CheckColumns,
    by_block,
    checks_block,
    item_block,
    next_block,
    place_block,
    verdict_block,
)
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.page.document_parts import put_section
from appreg.paper.page.page_canvas import PageCanvas, tell_drawn
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, beside, stacked
from appreg.progress import Progress

_CHECKS: Final = CheckColumns(check=33.0, reading=20.0, limit=25.0, finding=20.0)
_MOST_A_PAGE: Final = 12
"""More items than any page holds."""
_WIDTHS: Final = (26.0, 59.0, 33.0, _CHECKS.width, 31.0, 24.0)
"""Tag and verdict, item, place, checks, next dates, by whom; mm, gutters included."""


def put_annex(flow: PageFlow, document: RegisterDocument, progress: Progress | None) -> None:
    """Set every item with its readings; raises Stopped."""
    put_section(flow, f"Annex: every reading ({len(document.items)})", keep_with=40.0)
    heads = ("tag and result", "item", "where, class, type", "", "next, interval", "by")
    cells = [
        stacked([Line(word, HEAD)], width - GUTTER, flow.canvas) for word, width in zip(heads, _WIDTHS, strict=True)
    ]
    flow.put_head(_row([*cells[:3], _check_heads(flow.canvas), *cells[4:]]))
    flow.canvas.expect(flow.canvas.pages + len(document.items) // _MOST_A_PAGE)
    for done, item in enumerate(document.items):
        tell_drawn(progress, done, len(document.items))
        flow.put_row(_row(_item_cells(item, flow.canvas, document)))
    flow.head = None
    tell_drawn(progress, len(document.items), len(document.items))


def _item_cells(item: InspectedItem, canvas: PageCanvas, document: RegisterDocument) -> list[Block]:
    tag, thing, place, _, due, by = (width - GUTTER for width in _WIDTHS)
    return [
        verdict_block(item, tag, canvas),
        item_block(item, thing, canvas, with_place=False),
        place_block(item, place, canvas),
        checks_block(item, _CHECKS, canvas),
        next_block(item, due, canvas, on=document.printed),
        by_block(item, by, canvas),
    ]


def _offset(column: int) -> float:
    return sum(_WIDTHS[:column])


def _row(cells: Sequence[Block]) -> Block:
    return beside([(_offset(column), cell) for column, cell in enumerate(cells)])


def _check_heads(canvas: PageCanvas) -> Block:
    x, blocks = 0.0, []
    for word, width in (
        ("check", _CHECKS.check),
        ("reading", _CHECKS.reading),
        ("limit", _CHECKS.limit),
        ("finding", _CHECKS.finding),
    ):
        blocks.append((x, stacked([Line(word, HEAD)], width - 1.5, canvas)))
        x += width
    return beside(blocks)
