"""The slip of issue and return as a PDF file: what goes out, when it was tested, who took it, how it came back."""

from collections.abc import Sequence
from typing import Final

from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_title
from appreg.paper.documents.item_rows import NAME, STRONG, TEXT
from appreg.paper.documents.item_words import NEXT_WORDS, class_words, plate_words
from appreg.paper.documents.slip_content import IssueSlip, SlipItem
from appreg.paper.page.document_parts import BODY, put_paragraphs, put_section
from appreg.paper.page.form_parts import (
    COLUMN_GAP,
    head_row,
    loud_bar,
    row_of,
    tick_box,
    widths_of,
    writing_line,
    writing_lines,
)
from appreg.paper.page.page_canvas import PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, below, stacked
from appreg.schedule.due_states import is_overdue, waited_dates

_WEIGHTS: Final = (42.0, 58.0, 14.0)
"""Item, last test and next dates, gone out; mm."""
_LOUD: Final = 11.0
_BEFORE_USE: Final = (
    "Look at plug, cord and casing before each use. Do not use what is damaged, wet or smells of burning: put it aside and tell {ask}. "
    "This slip is no record of a test: what was tested and when stands beside each item as the register had it."
)
_BACK: Final = ("complete", "clean and dry", "no damage seen", "label legible")


def drawn_slip(slip: IssueSlip) -> DrawnDocument:
    """Draw the slip."""
    size, name = slip.size, slip.site.name
    canvas = PageCanvas(
        title=f"Issue and return slip, {name}", created=slip.printed, width=size.width, height=size.height
    )
    with canvas:
        as_of = date_words(slip.printed, slip.dates)
        flow = PageFlow(canvas, running=f"{name} · issue and return slip", footer=f"{name} · slip of {as_of}")
        kind = f"Issue and return slip, {as_of}: {counted(len(slip.items), 'item')}"
        put_title(flow, PageTitle(kind=kind, title=name, subtitle=slip.site.address, dates=slip.dates), slip.state)
        _put_items(flow, slip)
        _put_issue(flow, slip)
        _put_return(flow, slip)
        flow.finish()
        summary = DocumentSummary(items=len(slip.items), pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _put_items(flow: PageFlow, slip: IssueSlip) -> None:
    widths = widths_of(_WEIGHTS, flow.room)
    flow.put_head(head_row(("tag and item", "as the register has it", "handed out"), widths, flow.canvas))
    for each in slip.items:
        if each.failed_on is not None:
            words = f"{each.item.appliance.tag}: DO NOT USE, failed on {date_words(each.failed_on, slip.dates)}"
            flow.put(loud_bar(words, flow.room, _LOUD, flow.canvas), after=0.8, keep_with=12.0)
        flow.put_row(_row(each, slip, widths, flow.canvas))
    flow.head = None


def _row(each: SlipItem, slip: IssueSlip, widths: Sequence[float], canvas: PageCanvas) -> Block:
    thing = each.item.appliance
    what = [Line(f"{thing.tag}  {thing.name}", NAME), Line(plate_words(thing), TEXT), Line(class_words(thing), TEXT)]
    out = "" if each.out_since is None else f"out since {date_words(each.out_since, slip.dates)}"
    told = [
        Line(f"{each.age[0].upper()}{each.age[1:]}", TEXT),
        *_next_lines(each, slip),
        Line(f"{out}: {each.to}" if out and each.to else out, STRONG),
    ]
    cells = [
        stacked(what, widths[0] - COLUMN_GAP, canvas),
        stacked(told, widths[1] - COLUMN_GAP, canvas),
        tick_box("", widths[2] - COLUMN_GAP, canvas),
    ]
    return row_of(cells, widths)


def _next_lines(each: SlipItem, slip: IssueSlip) -> list[Line]:
    lines = []
    for what, due in zip(("visual", "test"), waited_dates(each.item.appliance), strict=True):
        if due is not None and each.failed_on is None:
            late = is_overdue(due, slip.printed)
            words = f"{NEXT_WORDS[what]}: {date_words(due, slip.dates)}"
            lines.append(Line(f"{words}, overdue" if late else words, STRONG if late else TEXT))
    return lines


def _put_issue(flow: PageFlow, slip: IssueSlip) -> None:
    put_section(flow, "Issue", keep_with=40.0)
    ask = slip.ask or "whoever issued it"
    put_paragraphs(flow, [_BEFORE_USE.format(ask=ask)], ink=BODY)
    thirds, halves = widths_of((40, 22, 22), flow.room), widths_of((1, 1), flow.room)
    flow.put(writing_lines(("issued to", "on", "back by"), thirds, flow.canvas))
    flow.put(writing_lines(("signature, issued by", "signature, received by"), halves, flow.canvas), after=1.0)


def _put_return(flow: PageFlow, slip: IssueSlip) -> None:
    put_section(flow, "Return", keep_with=34.0)
    quarters, thirds = widths_of([1.0] * len(_BACK), flow.room), widths_of((22, 40, 22), flow.room)
    boxes = [tick_box(words, width - 1.0, flow.canvas) for words, width in zip(_BACK, quarters, strict=True)]
    asked = [f"{each.item.appliance.tag}: {words}" for each in slip.items for words in each.before_issue]
    told = [Line(f"Before it goes out again: {each}", BODY) for each in asked]
    block = below(
        [
            row_of(boxes, quarters),
            writing_lines(("back on", "received by", "signature"), thirds, flow.canvas),
            writing_line("what is wrong or missing", flow.room, flow.canvas),
            stacked(told, flow.room, flow.canvas),
        ]
    )
    flow.put(block)
