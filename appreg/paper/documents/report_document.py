"""The report of a visit or a job as a PDF file, with the fields that landlords' statutes ask for."""

from pathlib import Path

from appreg.files import write_whole
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import put_state
from appreg.paper.documents.report_content import ReportDocument
from appreg.paper.documents.report_fields import refuse_if_missing
from appreg.paper.documents.report_front import put_front
from appreg.paper.documents.report_items import put_items, put_limits
from appreg.paper.documents.report_signatures import put_signatures
from appreg.paper.page.document_parts import put_cautions
from appreg.paper.page.page_canvas import PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.progress import Progress


def write_report_document(
    document: ReportDocument, out: Path, progress: Progress | None = None, *, replace: bool = False
) -> DocumentSummary:
    """Write the report; a file that is there gives way only with `replace`.

    Raises Incomplete naming absent statutory fields, Stopped, InputRefused.
    """
    drawn = drawn_report(document, progress)
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def drawn_report(document: ReportDocument, progress: Progress | None = None) -> DrawnDocument:
    """Draw the report; raises Incomplete naming absent statutory fields, and Stopped."""
    refuse_if_missing(document)
    site, days = document.site.name, document.days
    state = f"{document.state.called} · " if document.state else ""
    with PageCanvas(title=f"Report of inspection, {site}, {days}", created=document.printed) as canvas:
        # The name comes last: it may be long, and what does not fit goes at the end.
        flow = PageFlow(
            canvas,
            running=f"Report of inspection of {days} · {site}",
            footer=f"{state}{document.work} of {days} · {site}",
        )
        put_front(flow, document)
        put_cautions(flow)
        put_signatures(flow, document)
        put_state(flow, document.state)
        put_items(flow, document, progress)
        put_limits(flow, document)
        flow.finish()
        summary = DocumentSummary(items=len(document.items), pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)
