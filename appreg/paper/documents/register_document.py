"""The register of one site as a PDF file: what is to be done first, a line an item, every reading as an annex on request."""

from pathlib import Path
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.rules.item_facts import assumed_in
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.told_tables import ToldTable
from appreg.files import write_whole
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_state, put_title
from appreg.paper.documents.item_rows import SMALL
from appreg.paper.documents.item_words import calibration_words, instrument_words
from appreg.paper.documents.legend_words import advised, bars, legend
from appreg.paper.documents.register_annex import put_annex
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.documents.register_lines import corrections, every_item, failures, put_right_soon, to_do
from appreg.paper.page.document_parts import (
    BODY,
    Particular,
    put_cautions,
    put_counts,
    put_paragraphs,
    put_particulars,
    put_section,
)
from appreg.paper.page.page_canvas import PageCanvas
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.table_drawing import LINES, READING, Density, put_table
from appreg.progress import Progress, shared
from appreg.schedule.due_states import is_item_overdue

_LONG_SIDE, _SHORT_SIDE = 297.0, 210.0
_LINES_DRAWN: Final = 20
"""Hundredths of the work that are done once the lines are drawn and an annex is still to follow."""


def write_register_document(
    document: RegisterDocument, out: Path, progress: Progress | None = None, *, replace: bool = False
) -> DocumentSummary:
    """Write the register of a site; a file that is there gives way only with `replace`.

    Raises Stopped, and InputRefused where the file cannot be written.
    """
    drawn = drawn_register(document, progress)
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def drawn_register(document: RegisterDocument, progress: Progress | None = None) -> DrawnDocument:
    """Draw the register of a site; raises Stopped."""
    name = document.site.name
    canvas = PageCanvas(
        title=f"Register of portable appliances, {name}", created=document.printed, width=_LONG_SIDE, height=_SHORT_SIDE
    )
    as_of = date_words(document.printed, document.dates)
    state = f" · {document.state.called}" if document.state else ""
    with canvas:
        flow = PageFlow(
            canvas, running=f"{name} · register of portable appliances", footer=f"{name} · as of {as_of}{state}"
        )
        _put_front(flow, document)
        _put_tables(flow, document, shared(progress, 0, _LINES_DRAWN) if document.details else progress)
        if document.details:
            put_annex(flow, document, shared(progress, _LINES_DRAWN, 100))
        _put_sources(flow, document)
        put_cautions(flow)
        put_state(flow, document.state)
        flow.finish()
        summary = DocumentSummary(items=len(document.items), pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _put_front(flow: PageFlow, document: RegisterDocument) -> None:
    client, site = document.client, document.site
    title = PageTitle(
        kind=f"Register of portable appliances, as of {date_words(document.printed, document.dates)}",
        title=site.name,
        subtitle=site.address,
        dates=document.dates,
    )
    put_title(flow, title, document.state)
    agent = (Particular("agent", (client.agent_name, client.agent_address)),) if client.agent_name else ()
    particulars = (
        Particular("duty holder", (client.name, client.address)),
        *agent,
        Particular("use of the premises", (document.environment,)),
        Particular("interval table", (document.interval_table,)),
        Particular("rule book", document.rules),
    )
    put_particulars(flow, particulars, columns=len(particulars))
    put_counts(flow, _counts(document))


def _counts(document: RegisterDocument) -> list[tuple[int, str]]:
    items = document.items
    return [
        (len(items), "items"),
        (sum(item.failed for item in items), "failed"),
        (sum(is_item_overdue(item.appliance, document.printed) for item in items), "overdue"),
        (sum(item.inspection is None and not item.stated for item in items), "never inspected"),
        (sum(item.appliance.state is ServiceState.WITHDRAWN for item in items), "withdrawn from use"),
        (sum(item.appliance.state is ServiceState.MISSING for item in items), "missing"),
    ]


def _put_tables(flow: PageFlow, document: RegisterDocument, progress: Progress | None) -> None:
    _put_table(flow, failures(document), document, READING)
    _put_table(flow, to_do(document), document, READING)
    _put_table(flow, put_right_soon(document), document, READING)
    _put_table(flow, every_item(document), document, LINES, progress)
    corrected = corrections(document)
    if corrected:
        put_section(flow, f"Corrected ({len(corrected)})")
        put_paragraphs(flow, corrected)
    assumed = _assumed(document)
    if assumed:
        put_section(flow, f"Judged with facts assumed, not read from the item ({len(assumed)})")
        put_paragraphs(flow, [", ".join(assumed)])


def _assumed(document: RegisterDocument) -> list[str]:
    """The tags of items whose shown inspection was judged with facts that nobody had read."""
    told = ((item.appliance.tag, item.inspection) for item in document.items)
    return [tag for tag, inspection in told if inspection is not None and assumed_in(inspection.item_facts)]


def _put_table(
    flow: PageFlow, table: ToldTable, document: RegisterDocument, density: Density, progress: Progress | None = None
) -> None:
    put_section(flow, f"{table.title} ({table.count})" if table.count else table.title, keep_with=25.0)
    put_table(flow, table, density, dates=document.dates, progress=progress)


def _put_sources(flow: PageFlow, document: RegisterDocument) -> None:
    put_section(flow, "People and instruments")
    people = [
        " · ".join(part for part in (f"{person.initials}: {person.name}", person.firm, person.qualifications) if part)
        for person in document.people
    ]
    instruments = [
        f"{instrument_words(instrument)} · {calibration_words(instrument, document.printed, document.dates)}"
        for instrument in document.instruments
    ]
    put_paragraphs(flow, [*people, *instruments] or ["None recorded."], ink=BODY)
    named = "Each line above names the rules as they stood on the day of its inspection."
    drawn = bars(document.items) if document.details else []
    put_paragraphs(flow, [named, *legend(advised(document.items)), *drawn], ink=SMALL)
