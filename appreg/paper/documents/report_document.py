"""The report of one visit as a PDF file, with the fields that landlords' statutes ask for."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from appreg.core.records.appliances import NOT_THE_LANDLORDS
from appreg.core.records.kept_records import InspectionKind
from appreg.core.rules.item_facts import assumed_in
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.files import write_whole
from appreg.paper.documents.document_outcome import DocumentSummary, DrawnDocument
from appreg.paper.documents.document_title import PageTitle, put_state, put_title
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_rows import (
    GUTTER,
    HEAD,
    NAME,
    SMALL,
    TEXT,
    CheckColumns,
    checks_block,
    item_block,
    next_block,
    verdict_block,
)
from appreg.paper.documents.item_words import (
    LOOKED_AT,
    calibration_lapsed,
    calibration_words,
    check_of_the_day,
    check_words,
    failing_words,
    limited_words,
    open_words,
)
from appreg.paper.documents.legend_words import advised, legend
from appreg.paper.documents.report_content import ReportDocument, printed_notes
from appreg.paper.documents.report_fields import refuse_if_missing
from appreg.paper.page.document_parts import (
    BODY,
    LABEL,
    Particular,
    put_cautions,
    put_counts,
    put_paragraphs,
    put_particulars,
    put_section,
)
from appreg.paper.page.page_canvas import PageCanvas, tell_drawn
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, below, beside, gap, stacked
from appreg.progress import Progress


def extent_sentences(document: ReportDocument) -> list[str]:
    """What was inspected, what was not, and how long the report is kept."""
    count = len(document.items)
    listed = (
        "the one item listed below"
        if count == 1
        else f"the {count} items listed below, each counted once however often it was inspected on this visit"
    )
    inspected = f"Inspected: {listed}. Nothing is said of other items, nor of the fixed wiring."
    limits = " ".join(limit for limit in _limits(document) if limit)
    sentences = [inspected if count else "", limits, printed_notes(document.visit), document.keeping]
    return [sentence for sentence in sentences if sentence] or ["Nothing was inspected on this visit."]


def _limits(document: ReportDocument) -> list[str]:
    inspections = [item.inspection for item in document.items if item.inspection is not None]
    looked = sum(each.kind is InspectionKind.VISUAL for each in inspections)
    open_ones = sum(each.outcome is Outcome.INCOMPLETE for each in inspections)
    assumed = sum(bool(assumed_in(each.item_facts)) for each in inspections)
    limited = sum(bool(limited_words(item)) for item in document.items)
    others = sum(item.appliance.owner in NOT_THE_LANDLORDS for item in document.items)
    return [
        _counted(
            len(document.not_inspected), "could not be inspected and stays due", "could not be inspected and stay due"
        ),
        _counted(open_ones, "is not finished", "are not finished"),
        _counted(looked, "was looked at only, not tested", "were looked at only, not tested"),
        _counted(
            assumed,
            "was judged with facts assumed, named beside it",
            "were judged with facts assumed, named beside them",
        ),
        _counted(
            limited,
            "was inspected without a check that was left out, named beside it with its reason",
            "were inspected without a check that was left out, named beside them with its reason",
        ),
        _counted(others, "does not belong to the landlord", "do not belong to the landlord"),
    ]


def _counted(count: int, one: str, several: str) -> str:
    if not count:
        return ""
    return f"One item {one}." if count == 1 else f"{count} items {several}."


_CHECKS: Final = CheckColumns(check=31.0, reading=20.0, limit=23.0, finding=17.0)
_WIDTHS: Final = (26.0, 60.0, _CHECKS.width)
"""Tag and verdict, item, checks; mm, gutters included."""
_TESTED_ALL: Final = (
    "I have inspected and tested the items listed above as shown. The results are what I found on the day named, "
    "to the limits named, with the instrument named."
)
_TESTED_SOME: Final = (
    f"I have inspected the items listed above, and tested those that are not marked “{LOOKED_AT}”, as shown. "
    "The results are what I found on the day named, to the limits named, with the instrument named."
)
_LOOKED_ALL: Final = (
    "I have made a formal visual inspection of the items listed above as shown; I tested none of them. "
    "The results are what I saw on the day named."
)
_WORK_OF_LOOKS: Final = "formal visual inspection"
_WORK: Final = "inspection and test"


def declaration(document: ReportDocument) -> str:
    """What the inspector signs: nobody signs for a test that was not made."""
    looked = [item.only_looked for item in (*document.items, *document.earlier)]
    if any(looked):
        return _LOOKED_ALL if all(looked) else _TESTED_SOME
    return _TESTED_ALL


def work_words(document: ReportDocument) -> str:
    """What was done on the visit, as the report is titled."""
    return _WORK_OF_LOOKS if declaration(document) == _LOOKED_ALL else _WORK


_LAPSED: Final = (
    "Caution: the instrument's calibration had lapsed on the day of inspection. "
    "Have it checked before relying on readings near a limit."
)


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
    site, day = document.site.name, date_words(document.visit.date, document.dates)
    state = f" · {document.state.called}" if document.state else ""
    with PageCanvas(title=f"Report of inspection, {site}, {day}", created=document.printed) as canvas:
        flow = PageFlow(
            canvas, running=f"{site} · report of inspection of {day}", footer=f"{site} · visit of {day}{state}"
        )
        _put_front(flow, document)
        _put_extent(flow, document)
        _put_defects(flow, document)
        _put_unfinished(flow, document)
        _put_not_inspected(flow, document)
        _put_items(flow, document, progress)
        _put_limits(flow, document)
        put_cautions(flow)
        put_state(flow, document.state)
        _put_signature(flow, document)
        flow.finish()
        summary = DocumentSummary(items=len(document.items), pages=canvas.pages, missing_glyphs=canvas.missing_glyphs)
        return DrawnDocument(content=canvas.content(), summary=summary)


def _put_front(flow: PageFlow, document: ReportDocument) -> None:
    title = PageTitle(
        kind=f"Report of {work_words(document)} of electrical appliances",
        title=document.site.name,
        subtitle=document.profile_title,
        dates=document.dates,
    )
    put_title(flow, title, document.state)
    put_particulars(flow, _particulars(document), columns=3)
    outcomes = [item.inspection.outcome for item in document.items if item.inspection is not None]
    counts = [(len(document.items), "item inspected" if len(document.items) == 1 else "items inspected")]
    counts += [(outcomes.count(outcome), words) for outcome, words in _OUTCOME_WORDS]
    if document.not_inspected:
        counts.append((len(document.not_inspected), "not inspected"))
    put_counts(flow, counts)
    tested = work_words(document) == _WORK
    if tested and document.instrument is not None and calibration_lapsed(document.instrument, document.visit.date):
        put_paragraphs(flow, [_LAPSED])


_PROTECTED: Final = "found behind residual current devices of 30 mA or less"
_OUTCOME_WORDS: Final = ((Outcome.PASS, "passed"), (Outcome.FAIL, "failed"), (Outcome.INCOMPLETE, "incomplete"))


def _particulars(document: ReportDocument) -> list[Particular]:
    client, person, visit = document.client, document.person, document.visit
    agent = [Particular("agent", (client.agent_name, client.agent_address))] if client.agent_name else []
    sockets = [Particular("sockets", (_PROTECTED,))] if visit.additional_protection else []
    return [
        Particular("date of inspection", (date_words(visit.date, document.dates),)),
        Particular("address inspected", (document.site.address,)),
        Particular("landlord or duty holder", (client.name, client.address)),
        *agent,
        Particular("inspector", (person.name, person.firm, person.address)),
        Particular("qualifications", (person.qualifications,)),
        Particular("instrument", _instrument_lines(document)),
        *sockets,
        Particular("report on the fixed wiring", (visit.fixed_wiring_reference or "none named",)),
    ]


def _instrument_lines(document: ReportDocument) -> tuple[str, ...]:
    instrument = document.instrument
    if work_words(document) == _WORK_OF_LOOKS:
        return ("none used: nothing was tested",)
    if instrument is None:
        return ("none recorded",)
    return (
        instrument.name,
        f"serial {instrument.serial}",
        calibration_words(instrument, document.visit.date, document.dates),
        check_of_the_day(document.visit),
    )


def _put_extent(flow: PageFlow, document: ReportDocument) -> None:
    put_section(flow, "Extent and limitations")
    put_paragraphs(flow, extent_sentences(document))


def _put_defects(flow: PageFlow, document: ReportDocument) -> None:
    put_section(flow, "Defects and remedial action")
    for item in (*document.earlier, *document.items):
        if item.defective:
            flow.put_row(_defect(item, flow))
    statements = (
        Particular("defects", (document.defects or ("as listed above" if _any_failed(document) else ""),)),
        Particular(
            "remedial action", (document.remedial_action or ("as listed above" if _all_acted(document) else ""),)
        ),
    )
    put_particulars(flow, statements, columns=2)


def _any_failed(document: ReportDocument) -> bool:
    return any(item.failed for item in (*document.earlier, *document.items))


def _all_acted(document: ReportDocument) -> bool:
    failed = [item for item in (*document.earlier, *document.items) if item.failed]
    return bool(failed) and all(item.remedial_action for item in failed)


def _defect(item: InspectedItem, flow: PageFlow) -> Block:
    left, gutter = 60.0, 3.0
    thing = item.appliance
    what = [Line(f"{thing.tag}  {thing.name}", NAME), Line(item.location, TEXT)]
    remarks = item.inspection.remarks if item.inspection is not None else ""
    why = [Line(each, TEXT) for each in item.put_right]
    if item.failed:
        why = [
            Line(f"failed: {failing_words(item) or 'see remarks'}", TEXT),
            *why,
            Line(remarks, TEXT),
            Line(item.note, TEXT),
            Line(f"remedial action: {item.remedial_action or 'none recorded'}", TEXT),
        ]
    return beside(
        [
            (0.0, stacked(what, left - gutter, flow.canvas)),
            (left, stacked(why, flow.room - left, flow.canvas)),
        ]
    )


def _put_unfinished(flow: PageFlow, document: ReportDocument) -> None:
    unfinished = [
        f"{item.appliance.tag}  {item.appliance.name}: {open_words(item)}"
        for item in document.items
        if item.inspection is not None and item.inspection.outcome is Outcome.INCOMPLETE
    ]
    if unfinished:
        put_section(flow, "Not finished: neither passed nor failed")
        put_paragraphs(flow, unfinished)


def _put_not_inspected(flow: PageFlow, document: ReportDocument) -> None:
    if document.not_inspected:
        put_section(
            flow, f"Not inspected ({len(document.not_inspected)}): nothing is said of these items, they stay due"
        )
        put_paragraphs(
            flow, [f"{each.tag}  {each.name}, {each.location}: {each.because}" for each in document.not_inspected]
        )


def _put_items(flow: PageFlow, document: ReportDocument, progress: Progress | None) -> None:
    put_section(flow, f"Items inspected ({len(document.items)})", keep_with=40.0)
    if not document.items:
        put_paragraphs(flow, ["No item was inspected on this visit."])
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
            next_block(item, thing, canvas, on=document.visit.date),
        ]
    )
    return beside(
        [
            (0.0, verdict_block(item, tag, canvas)),
            (_WIDTHS[0], what),
            (_checks_at(0.0), checks_block(item, _CHECKS, canvas)),
        ]
    )


def _put_limits(flow: PageFlow, document: ReportDocument) -> None:
    put_section(flow, "Limits applied")
    versions = sorted({item.inspection.rule_book_version for item in document.items if item.inspection is not None})
    put_paragraphs(flow, document.rules or [f"Rule book {version}" for version in versions])
    if document.interval_table:
        put_paragraphs(flow, [f"Intervals: {document.interval_table}"])
    sources = _source_lines(document.items)
    put_paragraphs(flow, [*sources, *legend([*sources, *advised(document.items)])], ink=SMALL)


def _source_lines(items: Sequence[InspectedItem]) -> list[str]:
    """Return each check with the source and basis of its limit, once."""
    lines = {
        f"{check_words(finding.check_name)}: {finding.source}, {_basis_words(finding.basis)}": None
        for item in items
        for finding in item.findings
        if finding.source
    }
    return list(lines)


def _basis_words(basis: str) -> str:
    return "from memory, to be checked against the document" if basis == "memory" else basis


def _put_signature(flow: PageFlow, document: ReportDocument) -> None:
    person = document.person
    declared = stacked([Line(declaration(document), BODY)], flow.room, flow.canvas)
    flow.put(below([gap(5.0), declared, gap(15.0)]), keep_with=8.0)
    half = (flow.room - 10.0) / 2
    for left in (0.0, half + 10.0):
        flow.canvas.rule(flow.left + left, flow.y, flow.left + left + half, thickness=0.25)
    flow.y += 1.0
    signed = stacked([Line(f"signature of {person.name}, {person.initials}", LABEL)], half, flow.canvas)
    dated = stacked([Line("date", LABEL)], half, flow.canvas)
    flow.put(beside([(0.0, signed), (half + 10.0, dated)]))
