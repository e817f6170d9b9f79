"""A list as a PDF file: what it is of, counts, sentences, tables."""

from appreg.core.values.dates_in_words import date_words
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_state, put_title
from appreg.paper.documents.list_content import ListDocument
from appreg.paper.page.document_parts import put_counts, put_paragraphs, put_particulars, put_section
from appreg.paper.page.page_canvas import PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.table_drawing import put_table
from appreg.progress import Progress

_LONG_SIDE, _SHORT_SIDE = 297.0, 210.0
_ACROSS = 4
"""Particulars beside one another."""


def drawn_list(document: ListDocument, progress: Progress | None = None) -> DrawnDocument:
    """Draw a list; raises Stopped."""
    width, height = (_LONG_SIDE, _SHORT_SIDE) if document.across else (_SHORT_SIDE, _LONG_SIDE)
    day = date_words(document.printed, document.dates)
    named = f"{document.title} · {document.kind[:1].lower()}{document.kind[1:]}"
    state = f" · {document.state.called}" if document.state else ""
    canvas = PageCanvas(
        title=f"{document.kind}, {document.title}", created=document.printed, width=width, height=height
    )
    with canvas:
        flow = PageFlow(canvas, running=named, footer=f"{document.title} · as of {day}{state}")
        _put_front(flow, document, day)
        for number, table in enumerate(document.tables):
            put_section(flow, f"{table.title} ({table.count})", keep_with=40.0)
            put_table(flow, table, document.density, dates=document.dates, progress=progress if number == 0 else None)
        put_paragraphs(flow, document.after)
        put_state(flow, document.state)
        flow.finish()
        summary = DocumentSummary(items=document.count, pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _put_front(flow: PageFlow, document: ListDocument, day: str) -> None:
    head = PageTitle(
        kind=f"{document.kind}, as of {day}",
        title=document.title,
        subtitle=document.subtitle,
        dates=document.dates,
    )
    put_title(flow, head, document.state)
    if document.particulars:
        put_particulars(flow, document.particulars, columns=min(_ACROSS, len(document.particulars)))
    if document.counts:
        put_counts(flow, document.counts)
    put_paragraphs(flow, document.said)
