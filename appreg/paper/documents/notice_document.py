"""The notice of a failed item as a PDF file: what failed, not to be used, whom to ask, what would put it right."""

from collections.abc import Sequence
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import FindingRecord
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import CheckResult
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_title
from appreg.paper.documents.item_words import check_words, class_words, limit_words, plate_words, reading_words
from appreg.paper.documents.legend_words import meanings
from appreg.paper.documents.notice_content import FailureNotice
from appreg.paper.documents.reading_bar import reading_bar, share_of
from appreg.paper.documents.source_words import sources_of
from appreg.paper.page.document_parts import Particular, put_paragraphs, put_particulars, put_section
from appreg.paper.page.form_parts import CAPTION, COLUMN_GAP, aligned, head_row, loud_bar, row_of, widths_of
from appreg.paper.page.page_canvas import Ink, PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.sheet_size import SheetSize
from appreg.paper.page.text_blocks import Block, Form, Line, below, gap, stacked

_TEXT: Final = Ink(8.5)
_STRONG: Final = Ink(8.5, bold=True)
_LOUD: Final = 36.0
"""Of the words that forbid its use, on a sheet of A5; points."""
_QUIET: Final = 13.0
_WEIGHTS: Final = (32.0, 24.0, 24.0, 24.0)
"""Check, reading, limit, bar."""
_LEAVE: Final = "Leave this notice on the item until it has passed inspection and test again, or is scrapped."
_BAR: Final = "Bar: how much of its limit the reading uses up; the line across is the limit."
_THEN: Final = (
    "In general, by common practice, and no diagnosis: the work is for a competent person, and before it is used the item is "
    "inspected and tested again."
)
_NEVER: Final = "Do not plug it in to try it."


def drawn_notice(notice: FailureNotice) -> DrawnDocument:
    """Draw the notice."""
    thing, size = notice.item.appliance, notice.size
    canvas = PageCanvas(
        title=f"Notice of a failed item, {thing.tag}", created=notice.printed, width=size.width, height=size.height
    )
    with canvas:
        printed = date_words(notice.printed, notice.dates)
        flow = PageFlow(
            canvas, running=f"{thing.tag} · notice of a failed item", footer=f"{thing.tag} · notice of {printed}"
        )
        title = PageTitle(
            kind="Notice of a failed item", title=thing.tag, subtitle=_thing_words(notice), dates=notice.dates
        )
        put_title(flow, title, notice.state)
        _put_verdict(flow, notice)
        _put_facts(flow, notice)
        _put_failed(flow, notice)
        _put_remedies(flow, notice)
        put_paragraphs(flow, _small_print(notice), ink=CAPTION)
        flow.finish()
        summary = DocumentSummary(items=1, pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _thing_words(notice: FailureNotice) -> str:
    thing = notice.item.appliance
    return " · ".join(part for part in (thing.name, plate_words(thing), class_words(thing)) if part)


def _put_verdict(flow: PageFlow, notice: FailureNotice) -> None:
    thing = notice.item.appliance
    if notice.since is None:
        points = _LOUD * notice.size.width / SheetSize.A5.width
        flow.put(loud_bar("DO NOT USE", flow.room, points, flow.canvas), after=1.5)
        gone = f"When this was printed the item was {thing.state}." if thing.state is ServiceState.DISPOSED else ""
        put_paragraphs(flow, [each for each in (f"{_NEVER} {_LEAVE}", gone) if each], ink=_STRONG)
        return
    failed, passed = date_words(notice.failed_on, notice.dates), date_words(notice.since.inspection.date, notice.dates)
    words = f"Failed on {failed}. Passed inspection and test since, on {passed} ({notice.since.person})."
    flow.put(loud_bar(words, flow.room, _QUIET, flow.canvas, form=Form.FRAME), after=1.5)
    told = ["This notice tells of the failure; it is not the record that the item may be used: its label is."]
    if thing.state is not ServiceState.IN_SERVICE:
        told.append(f"When this was printed the item was {thing.state}: not to be used.")
    put_paragraphs(flow, told, ink=_STRONG)


def _put_facts(flow: PageFlow, notice: FailureNotice) -> None:
    failed = (date_words(notice.failed_on, notice.dates), f"by {notice.found_by}")
    by = () if notice.put_right_by is None else (date_words(notice.put_right_by, notice.dates),)
    facts = [
        Particular("failed on", failed),
        Particular("whom to ask", (notice.ask,)),
        Particular("where it stands in the register", (notice.site.name, notice.site.address, notice.item.location)),
        *([Particular("to be put right by", by)] if by else []),
    ]
    put_particulars(flow, facts, columns=2)


def _put_failed(flow: PageFlow, notice: FailureNotice) -> None:
    failed = [each for each in notice.item.findings if each.finding == CheckResult.FAIL]
    put_section(flow, "What failed")
    widths = widths_of(_WEIGHTS, flow.room)
    if any(each.unit for each in failed):
        flow.put(head_row(("check", "reading", "limit", "of its limit"), widths, flow.canvas), after=0.8)
    for finding in failed:
        flow.put(_failed_row(finding, widths, flow.canvas), after=1.4)
    remarks = notice.item.inspection.remarks if notice.item.inspection is not None else ""
    unnamed = "No check is named; ask the person who found it."
    said = f"{notice.stated[0].upper()}{notice.stated[1:]}. {unnamed}" if notice.stated else ""
    put_paragraphs(flow, [said or remarks or ("" if failed else unnamed)], ink=_TEXT)


def _failed_row(finding: FindingRecord, widths: Sequence[float], canvas: PageCanvas) -> Block:
    bar = below([gap(1.0), reading_bar(finding, widths[3] - COLUMN_GAP)])
    figures = row_of(
        [
            stacked([Line(check_words(finding.check_name), _STRONG)], widths[0] - COLUMN_GAP, canvas),
            aligned(reading_words(finding) if finding.unit else "", widths[1] - COLUMN_GAP, _STRONG, canvas),
            stacked([Line(limit_words(finding), _TEXT)], widths[2] - COLUMN_GAP, canvas),
            bar,
        ],
        widths,
    )
    notes = [Line(finding.arithmetic if finding.unit else "", CAPTION), Line(finding.remark, _TEXT)]
    return below([figures, stacked(notes, sum(widths), canvas)])


def _small_print(notice: FailureNotice) -> list[str]:
    failed = [each for each in notice.item.findings if each.finding == CheckResult.FAIL and each.unit]
    sources = [f"Limit of {each}." for each in sources_of(failed)]
    return [*sources, *meanings(sources), _BAR if any(share_of(each) for each in failed) else ""]


def _put_remedies(flow: PageFlow, notice: FailureNotice) -> None:
    if notice.remedies:
        put_section(flow, "What would put it right")
        put_paragraphs(flow, [f"{each[0].upper()}{each[1:]}." for each in notice.remedies], ink=_TEXT)
        put_paragraphs(flow, [_THEN], ink=_TEXT)
    put_section(flow, "What was done so far")
    put_paragraphs(flow, [notice.done or "Nothing is recorded."], ink=_TEXT)
