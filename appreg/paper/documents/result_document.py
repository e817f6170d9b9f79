"""The result sheet of an item as a PDF file: how it stands, its readings over the years against their limits, every inspection."""

from collections.abc import Sequence
from typing import Final

from appreg.core.judging.methods import method_words
from appreg.core.records.kept_records import FindingRecord
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_state, put_title
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.paper.documents.item_rows import BADGE_POINTS, NAME, SMALL, STRONG, TEXT, VERDICT_FORMS
from appreg.paper.documents.item_words import (
    LOOKED_AT,
    NEXT_WORDS,
    assumed_words,
    calibration_words,
    check_words,
    class_words,
    cord_words,
    doubt_words,
    finding_words,
    instrument_words,
    limit_words,
    limited_words,
    measured_words,
    owner_words,
    plate_words,
    reading_words,
)
from appreg.paper.documents.legend_words import advised
from appreg.paper.documents.reading_bar import BAR_LEGEND, reading_bar
from appreg.paper.documents.reading_history import CHART_LEGEND, reading_series
from appreg.paper.documents.result_content import ResultSheet
from appreg.paper.documents.source_words import put_sources, sources_of
from appreg.paper.page.document_parts import (
    Particular,
    put_cautions,
    put_paragraphs,
    put_particulars,
    put_section,
)
from appreg.paper.page.form_parts import COLUMN_GAP, aligned, head_row, loud_bar, row_of, widths_of
from appreg.paper.page.history_chart import HEIGHT, history_chart
from appreg.paper.page.page_canvas import PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, badge, below, gap, stacked
from appreg.schedule.due_states import is_overdue, nothing_due

_LOUD: Final = 15.0
_WEIGHTS: Final = (30.0, 40.0, 24.0, 30.0, 26.0, 24.0)
"""Day and verdict, check, reading, limit, bar, finding."""


def drawn_result_sheet(sheet: ResultSheet) -> DrawnDocument:
    """Draw the sheet."""
    thing = sheet.item.appliance
    with PageCanvas(title=f"Result sheet of {thing.tag}", created=sheet.printed) as canvas:
        as_of = date_words(sheet.printed, sheet.dates)
        flow = PageFlow(canvas, running=f"{thing.tag} · result sheet", footer=f"{thing.tag} · as of {as_of}")
        named = " · ".join(part for part in (thing.name, plate_words(thing)) if part)
        kind = f"Result sheet of an item, as of {as_of}"
        put_title(flow, PageTitle(kind=kind, title=thing.tag, subtitle=named, dates=sheet.dates), sheet.state)
        _put_standing(flow, sheet)
        _put_charts(flow, sheet)
        _put_history(flow, sheet)
        _put_people(flow, sheet)
        sources = sources_of(finding for line in sheet.history for finding in line.findings)
        charted = [BAR_LEGEND, CHART_LEGEND] if sheet.history else []
        put_sources(flow, [*sources, *sheet.rules], beside=advised(sheet.history), extra=charted)
        put_cautions(flow)
        put_state(flow, sheet.state)
        flow.finish()
        summary = DocumentSummary(items=1, pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _put_standing(flow: PageFlow, sheet: ResultSheet) -> None:
    item, thing = sheet.item, sheet.item.appliance
    if sheet.failed_on is not None:
        words = f"DO NOT USE: failed on {date_words(sheet.failed_on, sheet.dates)}, not passed since"
        flow.put(loud_bar(words, flow.room, _LOUD, flow.canvas), after=3.0)
    facts = [
        Particular("class and type", (class_words(thing), cord_words(thing))),
        Particular("where", (item.location, sheet.site.name, sheet.site.address)),
        Particular("duty holder", (sheet.client.name, owner_words(thing))),
        Particular("last inspection and test", _last(item.last_test, sheet)),
        Particular("last formal visual inspection", _last(item.last_look, sheet)),
        Particular("service", (thing.state.value,)),
        *(Particular(NEXT_WORDS[what], _next(what, sheet)) for what in ("visual", "test")),
        Particular("interval", (item.interval,)),
    ]
    put_particulars(flow, facts, columns=3)
    put_paragraphs(flow, [each for each in (assumed_words(item), measured_words(item)) if each], ink=TEXT)


def _last(last: LastTime | None, sheet: ResultSheet) -> tuple[str, ...]:
    if last is None:
        return ("never",)
    return (f"{date_words(last.inspection.date, sheet.dates)}, {last.person}: {last.inspection.outcome}",)


def _next(what: str, sheet: ResultSheet) -> tuple[str, ...]:
    thing = sheet.item.appliance
    if sheet.failed_on is not None:
        return ("out of use until it has passed again",)
    if sheet.item.inspection is None and not sheet.item.stated:
        return ("never inspected",)
    if nothing := nothing_due(thing.state):
        return (nothing,)
    due = thing.next_visual if what == "visual" else thing.next_test
    if due is None:
        return ("none needed",)
    return (date_words(due, sheet.dates), "overdue" if is_overdue(due, sheet.printed) else "")


def _put_charts(flow: PageFlow, sheet: ResultSheet) -> None:
    for series in reading_series(sheet.history):
        put_section(flow, series.title[0].upper() + series.title[1:], keep_with=HEIGHT)
        flow.put_figure(history_chart(series.points, flow.room, flow.canvas), series.told(sheet.dates), after=1.0)


def _put_history(flow: PageFlow, sheet: ResultSheet) -> None:
    put_section(flow, f"Every inspection that counts ({len(sheet.history)})", keep_with=40.0)
    if not sheet.history:
        put_paragraphs(flow, [f"It was never inspected here{f'; {told}' if (told := sheet.item.stated) else ''}."])
    else:
        widths = widths_of(_WEIGHTS, flow.room)
        heads = ("inspected", "check", "reading", "limit", "of its limit", "finding")
        flow.put_head(head_row(heads, widths, flow.canvas))
        for line in sheet.history:
            flow.put_row(_inspection_row(line, widths, flow.canvas))
        flow.head = None
    if sheet.set_aside:
        put_section(flow, "Inspections that do not count")
        put_paragraphs(flow, sheet.set_aside)


def _inspection_row(line: InspectedItem, widths: Sequence[float], canvas: PageCanvas) -> Block:
    rows = [_finding_row(finding, widths[1:], canvas) for finding in line.findings]
    told = below([*rows, stacked(_notes(line), sum(widths[1:]), canvas)])
    return row_of([_verdict(line, widths[0] - COLUMN_GAP, canvas), told], (widths[0], sum(widths[1:])))


def _verdict(line: InspectedItem, width: float, canvas: PageCanvas) -> Block:
    inspection = line.inspection
    if inspection is None:
        return Block(0.0)
    words = inspection.outcome.value.upper()
    by = f"{line.person} · {line.instrument}" if line.instrument else line.person
    own = [
        Line(LOOKED_AT if line.only_looked else "", STRONG),
        Line(by, TEXT),
        Line(f"rules {inspection.rule_book_version}", SMALL),
    ]
    return below(
        [
            stacked([Line(date_words(inspection.date, line.dates), NAME)], width, canvas),
            gap(0.4),
            badge(words, width, BADGE_POINTS, VERDICT_FORMS[inspection.outcome], canvas),
            gap(0.7),
            stacked(own, width, canvas),
        ]
    )


def _notes(line: InspectedItem) -> list[Line]:
    remarks = line.inspection.remarks if line.inspection is not None else ""
    missing = line.inspection.missing if line.inspection is not None else ()
    return [
        Line(f"not done: {', '.join(map(check_words, missing))}" if missing else "", STRONG),
        Line(limited_words(line), STRONG),
        Line(line.corrected, STRONG),
        Line(remarks, TEXT),
        Line(f"remedial action: {line.remedial_action}" if line.remedial_action else "", TEXT),
        Line(assumed_words(line), SMALL),
        *(Line(f"advice: {each}", SMALL) for each in (line.inspection.advice if line.inspection else ())),
    ]


def _finding_row(finding: FindingRecord, widths: Sequence[float], canvas: PageCanvas) -> Block:
    ink = TEXT if finding.finding == CheckResult.PASS else STRONG
    check, reading, limit, bar, came_to = (width - COLUMN_GAP for width in widths)
    cells = [
        stacked([Line(check_words(finding.check_name), ink)], check, canvas),
        aligned(reading_words(finding), reading, ink, canvas),
        stacked([Line(limit_words(finding), TEXT)], limit, canvas),
        below([gap(0.5), reading_bar(finding, bar)]),
        stacked([Line(finding_words(finding), ink)], came_to, canvas),
    ]
    notes = [
        Line(method_words(finding.method), SMALL),
        Line(finding.arithmetic if finding.unit else "", SMALL),
        Line(doubt_words(finding), SMALL),
        Line(finding.remark, TEXT),
    ]
    return below([row_of(cells, widths), stacked(notes, sum(widths), canvas), gap(0.3)])


def _put_people(flow: PageFlow, sheet: ResultSheet) -> None:
    put_section(flow, "People and instruments")
    people = [
        " · ".join(part for part in (f"{each.initials}: {each.name}", each.firm, each.qualifications) if part)
        for each in sheet.people
    ]
    instruments = [
        f"{instrument_words(each)} · {calibration_words(each, sheet.printed, sheet.dates)}"
        for each in sheet.instruments
    ]
    put_paragraphs(flow, [*people, *instruments] or ["None recorded."])
