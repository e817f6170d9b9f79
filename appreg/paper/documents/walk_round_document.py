"""The checklist for a walk round a site as a PDF file: each room's items with their last results, boxes, blank lines."""

from collections.abc import Sequence
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_title
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.paper.documents.item_rows import NAME, STRONG, TEXT
from appreg.paper.documents.item_words import class_words, plate_words, reading_words
from appreg.paper.documents.walk_round_content import WalkRoom, WalkRoundList
from appreg.paper.page.document_parts import put_paragraphs, put_section
from appreg.paper.page.form_parts import (
    COLUMN_GAP,
    head_row,
    open_box,
    row_of,
    tick_box,
    widths_of,
    writing_line,
    writing_lines,
)
from appreg.paper.page.page_canvas import PageCanvas, tell_drawn
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, below, gap, stacked
from appreg.progress import Progress
from appreg.schedule.due_states import is_overdue, waited_dates

_WEIGHTS: Final = (9.0, 44.0, 46.0, 42.0, 22.0, 24.0)
"""Seen, item, last results, due, done, note."""
_DUE: Final = {"visual": "visual inspection", "test": "test"}
_HEADS: Final = ("seen", "tag and item", "last results", "due", "done", "note")
_SAID: Final = (
    "Tick what you have seen. What is ticked here is no inspection until it is entered: an item counts as looked at or tested only "
    "by its record. Write an item that has no line onto a blank one; what is not where the list has it is noted, not left out."
)


def drawn_walk_round(told: WalkRoundList, progress: Progress | None = None) -> DrawnDocument:
    """Draw the checklist; raises Stopped."""
    name = told.site.name
    with PageCanvas(title=f"Walk-round checklist, {name}", created=told.printed) as canvas:
        as_of = date_words(told.printed, told.dates)
        flow = PageFlow(canvas, running=f"{name} · walk-round checklist", footer=f"{name} · as of {as_of}")
        kind = f"Walk-round checklist, as of {as_of}: {counted(told.count, 'item')} in {counted(len(told.rooms), 'location')}"
        put_title(flow, PageTitle(kind=kind, title=name, subtitle=told.site.address, dates=told.dates), told.state)
        flow.put(writing_lines(("date", "walked by"), widths_of((20, 60), flow.room), canvas), after=2.0)
        put_paragraphs(flow, [_SAID], ink=TEXT)
        done = 0
        for room in told.rooms:
            tell_drawn(progress, done, told.count)
            _put_room(flow, room, told)
            done += len(room.items)
        tell_drawn(progress, told.count, told.count)
        flow.finish()
        summary = DocumentSummary(items=told.count, pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _put_room(flow: PageFlow, room: WalkRoom, told: WalkRoundList) -> None:
    widths = widths_of(_WEIGHTS, flow.room)
    put_section(flow, f"{room.name} ({counted(len(room.items), 'item')})", keep_with=32.0)
    flow.put_head(head_row(_HEADS, widths, flow.canvas))
    for item in room.items:
        flow.put_row(_row(item, told, widths, flow.canvas))
    for _ in range(told.spare):
        flow.put_row(_blank_row(widths, flow.canvas))
    flow.head = None


def _row(item: InspectedItem, told: WalkRoundList, widths: Sequence[float], canvas: PageCanvas) -> Block:
    thing = item.appliance
    loud = _loud(item, told)
    what = [
        Line(f"{thing.tag}  {thing.name}", NAME),
        Line(plate_words(thing), TEXT),
        Line(class_words(thing), TEXT),
        Line(loud, STRONG),
    ]
    ticks = below(
        [tick_box(words, widths[4] - COLUMN_GAP, canvas).moved(0.0, 0.6) for words in ("looked at", "tested")]
    )
    cells = [
        open_box(3.4, 3.4),
        stacked(what, widths[1] - COLUMN_GAP, canvas),
        stacked(_last_lines(item), widths[2] - COLUMN_GAP, canvas),
        stacked(_due_lines(item, told), widths[3] - COLUMN_GAP, canvas),
        ticks,
        writing_line("", widths[5] - COLUMN_GAP, canvas),
    ]
    return row_of(cells, widths)


def _loud(item: InspectedItem, told: WalkRoundList) -> str:
    """What whoever stands before the item must know."""
    thing = item.appliance
    if thing.tag in told.failed:
        return f"DO NOT USE: failed, not passed since; {thing.state}"
    if thing.state is ServiceState.MISSING:
        return "missing when last looked for"
    return "" if thing.state is ServiceState.IN_SERVICE else thing.state.value


def _last_lines(item: InspectedItem) -> list[Line]:
    if item.inspection is None:
        return [Line(item.stated or "never inspected", STRONG)]
    test = item.last_test
    tested = _time_words("tested", test, item) if test else "never tested"
    shown = item.tested if item.only_looked else item.findings
    of_test = test is not None and (item.only_looked or test.inspection.uid == item.inspection.uid)
    readings = " · ".join(reading_words(each) for each in shown if each.unit and each.reading) if of_test else ""
    looked = _time_words("looked at", item.last_look, item) if item.last_look else ""
    return [Line(tested, TEXT), Line(readings, TEXT), Line(looked, TEXT)]


def _time_words(what: str, last: LastTime, item: InspectedItem) -> str:
    return f"{what} {date_words(last.inspection.date, item.dates)}, {last.person}: {last.inspection.outcome}"


def _due_lines(item: InspectedItem, told: WalkRoundList) -> list[Line]:
    if item.inspection is None or item.appliance.tag in told.failed:
        return []
    lines: list[Line] = []
    for what, due in zip(("visual", "test"), waited_dates(item.appliance), strict=True):
        if due is not None:
            late = is_overdue(due, told.printed)
            words = f"{_DUE[what]}: {date_words(due, item.dates)}"
            lines.append(Line(f"{words}, overdue" if late else words, STRONG if late else TEXT))
    return lines


def _blank_row(widths: Sequence[float], canvas: PageCanvas) -> Block:
    captions = ("", "tag and item", "class, make, model, serial number", "", "", "note")
    cells = [
        open_box(3.4, 3.4) if place == 0 else writing_line(caption, width - COLUMN_GAP, canvas) if caption else gap(0.0)
        for place, (caption, width) in enumerate(zip(captions, widths, strict=True))
    ]
    return row_of(cells, widths)
