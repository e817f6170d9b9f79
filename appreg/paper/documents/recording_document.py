"""A blank recording sheet as a PDF file: each item with its limits worked out, and room for a pen."""

from collections.abc import Sequence
from typing import Final

from appreg.core.rules.limit_tables import LENGTHS, EarthTable, limit_shown
from appreg.core.values.dates_in_words import date_words
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_title
from appreg.paper.documents.item_rows import NAME, STRONG, TAG, TEXT
from appreg.paper.documents.item_words import class_words, cord_words, plain, plate_words
from appreg.paper.documents.recording_content import RecordingItem, RecordingLine, RecordingSheet
from appreg.paper.documents.source_words import put_sources
from appreg.paper.page.document_parts import put_cautions, put_paragraphs, put_section
from appreg.paper.page.form_parts import (
    CAPTION,
    COLUMN_GAP,
    head_row,
    open_box,
    row_of,
    text_row,
    tick_box,
    widths_of,
    writing_lines,
)
from appreg.paper.page.page_canvas import PageCanvas, tell_drawn
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, below, gap, stacked
from appreg.progress import Progress

_WEIGHTS: Final = (44.0, 28.0, 58.0, 30.0, 26.0)
"""Check, limit, how and last, reading, pass or fail."""
_BOX_HEIGHT: Final = 6.5
_OUTCOMES: Final = ("pass", "fail", "not finished", "not inspected, because:")
_LOOKS_IN_A_ROW: Final = 6
_RULES: Final = (
    "A reading that is missing, unreadable or doubtful is never a pass: leave its box empty and tick “not finished”. "
    "Write what the instrument shows, with < or > where it shows that; what was put right goes beside what was found."
)
_GUARDED: Final = "Here a pass has to clear its limit by the uncertainty of the instrument."


def drawn_recording_sheet(sheet: RecordingSheet, progress: Progress | None = None) -> DrawnDocument:
    """Draw the sheet; raises Stopped."""
    name = sheet.site.name
    with PageCanvas(title=f"Recording sheet, {name}", created=sheet.printed) as canvas:
        as_of = date_words(sheet.printed, sheet.dates)
        flow = PageFlow(canvas, running=f"{name} · recording sheet", footer=f"{name} · limits as of {as_of}")
        kind = f"Recording sheet for inspection and test, limits as of {as_of}"
        put_title(flow, PageTitle(kind=kind, title=name, subtitle=sheet.site.address, dates=sheet.dates), sheet.state)
        _put_head(flow, sheet)
        for done, item in enumerate(sheet.items):
            tell_drawn(progress, done, len(sheet.items))
            flow.put_row(item_block(item, flow.room, canvas))
        tell_drawn(progress, len(sheet.items), len(sheet.items))
        _put_spare(flow, sheet)
        put_sources(flow, [*sheet.sources, sheet.book])
        flow.finish()
        summary = DocumentSummary(items=len(sheet.items), pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _put_head(flow: PageFlow, sheet: RecordingSheet) -> None:
    captions = ("date", "inspected and tested by", "instrument and its serial number", "calibration due")
    flow.put(writing_lines(captions, widths_of((20, 40, 44, 26), flow.room), flow.canvas), after=1.0)
    checked = ("instrument checked on the day: leads nulled, a known resistance reads", "signature")
    flow.put(writing_lines(checked, widths_of((84, 46), flow.room), flow.canvas), after=2.0)
    put_cautions(flow)
    put_paragraphs(flow, [each for each in (sheet.stop, _RULES, _GUARDED if sheet.guarded else "") if each], ink=STRONG)
    counted = len(sheet.items)
    put_section(flow, f"Items ({counted})" if counted else "Items", keep_with=40.0)


def item_block(item: RecordingItem, room: float, canvas: PageCanvas) -> Block:
    """One item with its checks, limits and boxes."""
    thing = item.appliance
    halves = widths_of((70, 66), room)
    what = [
        Line(f"{thing.tag}  {thing.name}", TAG),
        Line(" · ".join(part for part in (plate_words(thing), item.location) if part), TEXT),
        Line(" · ".join(part for part in (class_words(thing), cord_words(thing)) if part), TEXT),
        Line(f"FAILED on {item.failed}, not passed since: say what was put right" if item.failed else "", STRONG),
        Line(f"FAILS however it looks: {item.fault}" if item.fault else "", STRONG),
        Line(f"settle first: {item.contradiction}" if item.contradiction else "", STRONG),
        *(Line(f"advice: {each}", CAPTION) for each in item.advice),
    ]
    head = row_of([stacked(what, halves[0] - COLUMN_GAP, canvas), _outcome_boxes(halves[1], canvas)], halves)
    parts = [head, gap(1.0), *_assumed_boxes(item.assumed, room, canvas), *_look_boxes(item.looks, room, canvas)]
    widths = widths_of(_WEIGHTS, room)
    if any(line.figure for line in item.lines):
        parts.append(head_row(("check", "limit", "how, and what was read last", "reading", ""), widths, canvas))
    for line in item.lines:
        parts += [gap(0.8), _check_row(line, widths, canvas)]
    return below([*parts, writing_lines(("remarks, what was put right",), (room,), canvas)])


def _outcome_boxes(width: float, canvas: PageCanvas) -> Block:
    widths = widths_of((12, 12, 20, 34), width)
    boxes = [tick_box(words, each - 1.0, canvas) for words, each in zip(_OUTCOMES, widths, strict=True)]
    return below([row_of(boxes, widths), gap(1.0)])


def _assumed_boxes(assumed: Sequence[str], room: float, canvas: PageCanvas) -> list[Block]:
    if not assumed:
        return []
    said = "Assumed from the category; limits hold for the strictest case. Tick what you have read from the item, correct what is another:"
    widths = widths_of([1.0] * max(len(assumed), _LOOKS_IN_A_ROW), room)
    boxes = [tick_box(words, widths[0] - 1.0, canvas) for words in assumed]
    return [stacked([Line(said, TEXT)], room, canvas), gap(0.6), row_of(boxes, widths[: len(boxes)]), gap(1.2)]


def _look_boxes(looks: Sequence[str], room: float, canvas: PageCanvas) -> list[Block]:
    if not looks:
        return []
    widths = widths_of([1.0] * _LOOKS_IN_A_ROW, room)
    blocks = [stacked([Line("looked at; tick what is good:", TEXT)], room, canvas), gap(0.6)]
    for start in range(0, len(looks), _LOOKS_IN_A_ROW):
        row = looks[start : start + _LOOKS_IN_A_ROW]
        boxes = [tick_box(words, widths[0] - 1.0, canvas) for words in row]
        blocks += [row_of(boxes, widths[: len(boxes)]), gap(0.9)]
    return blocks


def _check_row(line: RecordingLine, widths: Sequence[float], canvas: PageCanvas) -> Block:
    check, limit, how, reading, _ = (width - COLUMN_GAP for width in widths)
    name = f"or {line.check}" if line.instead else line.check
    written = _reading_box(line, reading, canvas) if line.figure else Block(0.0)
    halves = widths_of((1, 1), widths[4])
    ticks = row_of([tick_box(words, halves[0] - 1.0, canvas) for words in ("pass", "fail")], halves)
    cells = [
        stacked([Line(name, NAME)], check, canvas),
        stacked([Line(line.limit, NAME)], limit, canvas),
        stacked([Line(line.how, CAPTION), Line(f"last: {line.last}" if line.last else "", CAPTION)], how, canvas),
        written,
        ticks.moved(0.0, 0.5),
    ]
    return row_of(cells, widths)


def _reading_box(line: RecordingLine, width: float, canvas: PageCanvas) -> Block:
    box = open_box(width - 10.0, _BOX_HEIGHT)
    unit = stacked([Line(line.unit, TEXT)], 9.5, canvas).moved(0.0, 1.6)
    return row_of([box, unit], (width - 9.5, 9.5))


def _put_spare(flow: PageFlow, sheet: RecordingSheet) -> None:
    if not sheet.spare:
        return
    put_section(flow, "Items that are not in the register", keep_with=60.0)
    if sheet.earth is not None:
        _put_earth(flow, sheet.earth)
    _put_kinds(flow, sheet)
    for _ in range(sheet.spare):
        flow.put_row(_blank_block(flow.room, flow.canvas))


def _put_earth(flow: PageFlow, table: EarthTable) -> None:
    widths = widths_of((30, *(20 for _ in LENGTHS)), flow.room)
    put_paragraphs(
        flow,
        ["Earth continuity, Class I: the highest resistance by cord; a length between two is read at the shorter."],
    )
    flow.put(head_row(("cord", *(f"{plain(each)} m" for each in LENGTHS)), widths, flow.canvas), after=0.6)
    for size, row in zip(table.sizes, table.rows, strict=True):
        cells = [[Line(f"{plain(size)} mm²", STRONG)], *([Line(limit_shown(each), TEXT)] for each in row)]
        flow.put(text_row(cells, widths, flow.canvas), after=0.4)
    put_paragraphs(flow, [f"Size or length not known: {limit_shown(table.unknown)}."], ink=TEXT)


def _put_kinds(flow: PageFlow, sheet: RecordingSheet) -> None:
    if not sheet.kinds:
        return
    widths = widths_of((56, 50, 56), flow.room)
    flow.y += 1.0
    flow.put(head_row(("kind of item", "insulation", "leakage"), widths, flow.canvas), after=0.6)
    for each in sheet.kinds:
        volts = f" at {' or '.join(map(str, each.volts))} V d.c." if each.volts and each.insulation else ""
        insulation = f"{limit_shown(each.insulation)}{volts}"
        cells = [[Line(each.kind, STRONG)], [Line(insulation, TEXT)], [Line(limit_shown(each.leakage), TEXT)]]
        flow.put(text_row(cells, widths, flow.canvas), after=0.4)
    flow.y += 2.0


def _blank_block(room: float, canvas: PageCanvas) -> Block:
    halves = widths_of((70, 66), room)
    widths = widths_of(_WEIGHTS, room)
    lines = [
        RecordingLine(check=words, figure=bool(unit), unit=unit)
        for words, unit in (
            ("visual inspection", ""),
            ("earth continuity", "Ω"),
            ("insulation resistance", "MΩ"),
            ("leakage current", "mA"),
            ("functional check", ""),
        )
    ]
    what = writing_lines(("tag", "what it is, make, model, serial number"), widths_of((20, 60), halves[0]), canvas)
    facts = ("location", "class", "type", "cord, mm²", "cord, m", "fuse, A", "power, W")
    rows = [block for line in lines for block in (gap(0.8), _check_row(line, widths, canvas))]
    return below(
        [
            row_of([what, _outcome_boxes(halves[1], canvas)], halves),
            writing_lines(facts, widths_of((44, 14, 26, 18, 16, 14, 16), room), canvas),
            *rows,
            writing_lines(("remarks",), (room,), canvas),
        ]
    )
