"""The register of one site as a PDF file: failures first, then every item."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.values.dates_in_words import date_words
from appreg.files import write_whole
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_state, put_title
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_rows import (
    GUTTER,
    HEAD,
    SMALL,
    STRONG,
    TEXT,
    CheckColumns,
    by_block,
    checks_block,
    item_block,
    next_block,
    place_block,
    verdict_block,
)
from appreg.paper.documents.item_words import calibration_words, failing_words, instrument_words
from appreg.paper.documents.legend_words import advised, legend
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.page.document_parts import (
    BODY,
    Particular,
    put_cautions,
    put_counts,
    put_paragraphs,
    put_particulars,
    put_section,
)
from appreg.paper.page.page_canvas import PageCanvas, tell_drawn
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, beside, stacked
from appreg.progress import Progress
from appreg.schedule.due_states import is_item_overdue

_LONG_SIDE, _SHORT_SIDE = 297.0, 210.0
_CHECKS: Final = CheckColumns(check=33.0, reading=20.0, limit=25.0, finding=20.0)
_WIDTHS: Final = (26.0, 58.0, 33.0, _CHECKS.width, 31.0, 23.0)
"""Tag and verdict, item, place, checks, next dates, by whom; mm, gutters included."""


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
        _put_failures(flow, document)
        _put_items(flow, document, progress)
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
        (sum(item.inspection is None for item in items), "never inspected"),
        (sum(item.appliance.state is ServiceState.WITHDRAWN for item in items), "withdrawn from use"),
        (sum(item.appliance.state is ServiceState.MISSING for item in items), "missing"),
    ]


def _put_failures(flow: PageFlow, document: RegisterDocument) -> None:
    failed = [item for item in document.items if item.failed]
    put_section(flow, f"Failed: do not use ({len(failed)})" if failed else "Failed")
    if not failed:
        put_paragraphs(flow, ["No item stands as failed in this register."])
        return
    flow.put_head(_cells(("tag and result", "item", "where, class, type", "why", "remedial action", "by"), flow.canvas))
    for item in failed:
        flow.put_row(_row(_failure_cells(item, flow.canvas)))
    flow.head = None


def _failure_cells(item: InspectedItem, canvas: PageCanvas) -> list[Block]:
    tag, thing, place, checks, action, by = (width - GUTTER for width in _WIDTHS)
    why = failing_words(item) or "see the remarks"
    return [
        verdict_block(item, tag, canvas),
        item_block(item, thing, canvas, with_place=False),
        place_block(item, place, canvas),
        stacked([Line(why, STRONG)], checks, canvas),
        stacked([Line(item.remedial_action or "none recorded", TEXT)], action, canvas),
        by_block(item, by, canvas),
    ]


def _put_items(flow: PageFlow, document: RegisterDocument, progress: Progress | None) -> None:
    put_section(flow, f"Every item ({len(document.items)})", keep_with=40.0)
    heads = ("tag and result", "item", "where, class, type", "", "next, interval", "by")
    flow.put_head(beside([(0.0, _cells(heads, flow.canvas)), (_offset(3), _check_heads(flow.canvas))]))
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


def _cells(words: Sequence[str], canvas: PageCanvas) -> Block:
    return _row(
        [stacked([Line(word, HEAD)], width - GUTTER, canvas) for word, width in zip(words, _WIDTHS, strict=True)]
    )


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
    put_paragraphs(flow, [named, *legend(advised(document.items))], ink=SMALL)
