"""The front of a report: what, where, for whom and by whom; what has to be put right; how far it reaches."""

from typing import Final

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.paper.documents.document_title import PageTitle, put_changes, put_title
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_rows import NAME, TEXT
from appreg.paper.documents.item_words import calibration_lapsed, check_of_the_day, failing_words, open_words
from appreg.paper.documents.report_content import ReportDocument, ReportedVisit
from appreg.paper.documents.report_particulars import particulars
from appreg.paper.documents.report_words import extent_sentences, only_looked, work_words
from appreg.paper.page.document_parts import Particular, put_counts, put_paragraphs, put_particulars, put_section
from appreg.paper.page.page_flow import PageFlow
from appreg.paper.page.text_blocks import Block, Line, beside, stacked

_LAPSED: Final = (
    "Caution: the instrument's calibration had lapsed on the day of inspection. "
    "Have it checked before relying on readings near a limit."
)
_OUTCOME_WORDS: Final = ((Outcome.PASS, "passed"), (Outcome.FAIL, "failed"), (Outcome.INCOMPLETE, "incomplete"))


def put_front(flow: PageFlow, document: ReportDocument) -> None:
    """Set the front: what matters most to whoever opens the report comes first."""
    job = f"job {document.job.name}, " if document.job else ""
    title = PageTitle(
        kind=f"Report of {work_words(document)} of electrical appliances, {job}{document.days}",
        title=document.site.name,
        subtitle=document.profile_title,
        dates=document.dates,
    )
    put_title(flow, title, document.state, with_changes=False)
    put_particulars(flow, particulars(document), columns=3)
    _put_counts(flow, document)
    _put_right_soon(flow, document)
    _put_unfinished(flow, document)
    put_changes(flow, document.state)
    put_section(flow, "Extent and limitations")
    put_paragraphs(flow, extent_sentences(document))
    _put_visits(flow, document)
    _put_not_inspected(flow, document)
    _put_defects(flow, document)


def _put_counts(flow: PageFlow, document: ReportDocument) -> None:
    outcomes = [item.inspection.outcome for item in document.items if item.inspection is not None]
    counts = [(len(document.items), "item inspected" if len(document.items) == 1 else "items inspected")]
    counts += [(outcomes.count(outcome), words) for outcome, words in _OUTCOME_WORDS]
    if document.not_inspected:
        counts.append((len(document.not_inspected), "not inspected"))
    put_counts(flow, counts)
    lapsed = any(calibration_lapsed(each, document.last_used(each)) for each in document.instruments)
    if lapsed and not only_looked(document):
        put_paragraphs(flow, [_LAPSED])


def _put_right_soon(flow: PageFlow, document: ReportDocument) -> None:
    failed = [item for item in document.items if item.failed]
    if failed:
        put_section(flow, f"Put right soon ({len(failed)}): do not use before they have passed again")
        for item in failed:
            flow.put_row(_defect(item, flow, document))
    elif document.items:
        put_section(flow, "Put right soon")
        put_paragraphs(flow, ["No item that was inspected stands as failed."])


def _when_and_by(item: InspectedItem, document: ReportDocument) -> str:
    """Of several visits: on which it was, and by whom."""
    if len(document.visits) == 1 or item.inspection is None:
        return ""
    return f"{date_words(item.inspection.date, document.dates)}, by {item.person}"


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


def _put_visits(flow: PageFlow, document: ReportDocument) -> None:
    if len(document.visits) > 1:
        put_section(flow, f"Visits ({len(document.visits)})")
        put_paragraphs(flow, [_visit_words(each, document) for each in document.visits])


def _visit_words(each: ReportedVisit, document: ReportDocument) -> str:
    tool = each.instrument
    checked = f"{tool.name}, serial {tool.serial}, {check_of_the_day(each.visit)}" if tool else "no instrument named"
    return f"{date_words(each.visit.date, document.dates)}: {each.person.name}, {each.person.initials} · {checked}"


def _put_defects(flow: PageFlow, document: ReportDocument) -> None:
    put_section(flow, "Defects and remedial action")
    for item in (*document.earlier, *document.items):
        if item.defective and (item.put_right or item not in document.items):
            flow.put_row(_defect(item, flow, document))
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


def _defect(item: InspectedItem, flow: PageFlow, document: ReportDocument) -> Block:
    left, gutter = 60.0, 3.0
    thing = item.appliance
    what = [
        Line(f"{thing.tag}  {thing.name}", NAME),
        Line(item.location, TEXT),
        Line(_when_and_by(item, document), TEXT),
    ]
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
