"""The items of a report: each with its result, its readings against their limits and its next dates; and what limits rest on."""

from typing import Final

from appreg.core.records.kept_records import FindingRecord
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_rows import (
    GUTTER,
    HEAD,
    SMALL,
    TEXT,
    CheckColumns,
    checks_block,
    item_block,
    next_block,
    verdict_block,
)
from appreg.paper.documents.item_words import check_words
from appreg.paper.documents.legend_words import advised, bars, legend
from appreg.paper.documents.report_content import ReportDocument
from appreg.paper.page.document_parts import put_paragraphs, put_section
from appreg.paper.page.page_canvas import PageCanvas, tell_drawn
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, below, beside, gap, stacked
from appreg.progress import Progress

_CHECKS: Final = CheckColumns(check=31.0, reading=20.0, limit=23.0, finding=17.0)
_WIDTHS: Final = (26.0, 60.0, _CHECKS.width)
"""Tag and verdict, item, checks; mm, gutters included."""


def put_items(flow: PageFlow, document: ReportDocument, progress: Progress | None) -> None:
    """Set a row for each item that was inspected."""
    put_section(flow, f"Items inspected ({len(document.items)})", keep_with=40.0)
    if not document.items:
        put_paragraphs(flow, [f"No item was inspected on this {document.work}."])
        return
    words = (
        ("tag and result", 0.0),
        ("item, location, class and type", _WIDTHS[0]),
        ("check", _checks_at(0.0)),
        ("reading", _checks_at(_CHECKS.check)),
        ("limit", _checks_at(_CHECKS.check + _CHECKS.reading)),
        ("finding", _checks_at(_CHECKS.width - _CHECKS.finding)),
    )
    flow.put_head(beside([(x, stacked([Line(word, HEAD)], 50.0, flow.canvas)) for word, x in words]))
    for done, item in enumerate(document.items):
        tell_drawn(progress, done, len(document.items))
        flow.put_row(_item_row(item, flow.canvas, document))
    flow.head = None
    tell_drawn(progress, len(document.items), len(document.items))


def _checks_at(offset: float) -> float:
    return _WIDTHS[0] + _WIDTHS[1] + offset


def _item_row(item: InspectedItem, canvas: PageCanvas, document: ReportDocument) -> Block:
    tag, thing = _WIDTHS[0] - GUTTER, _WIDTHS[1] - GUTTER
    what = below(
        [
            item_block(item, thing, canvas, with_place=True),
            gap(0.5),
            next_block(item, thing, canvas, on=document.last_day),
        ]
    )
    result = verdict_block(item, tag, canvas)
    if document.by_several:
        by = [Line(f"by {item.person}", TEXT), Line(item.instrument, SMALL)]
        result = below([result, stacked(by, tag, canvas)])
    return beside(
        [
            (0.0, result),
            (_WIDTHS[0], what),
            (_checks_at(0.0), checks_block(item, _CHECKS, canvas)),
        ]
    )


def put_limits(flow: PageFlow, document: ReportDocument) -> None:
    """Set which rules and intervals were applied, where each limit comes from, and what short words mean."""
    put_section(flow, "Limits applied")
    versions = sorted({item.inspection.rule_book_version for item in document.items if item.inspection is not None})
    put_paragraphs(flow, [f"Rule book: {each}" for each in document.rules or versions])
    if document.interval_table:
        put_paragraphs(flow, [f"Intervals: {document.interval_table}"])
    sources = _source_lines(document)
    put_paragraphs(flow, [*sources, *legend([*sources, *advised(document.items)]), *bars(document.items)], ink=SMALL)


def _source_lines(document: ReportDocument) -> list[str]:
    """Return each check with the source and basis of its limit, once, and who has looked it up."""
    lines = {
        _source_line(finding, item.inspection.rule_book_version if item.inspection else "", document): None
        for item in document.items
        for finding in item.findings
        if finding.source
    }
    return list(lines)


def _source_line(finding: FindingRecord, version: str, document: ReportDocument) -> str:
    known = [each for each in document.looked_up if each.version == version and each.source in finding.source]
    settled = any(each.whole and each.source == finding.source for each in known)
    basis = [] if settled else [_basis_words(finding.basis)]
    said = [f"{check_words(finding.check_name)}: {finding.source}", *basis, *(each.said for each in known)]
    return ", ".join(said)


def _basis_words(basis: str) -> str:
    return "from memory, to be checked against the document" if basis == "memory" else basis
