"""Write the inspection report of a visit."""

from datetime import date
from pathlib import Path

from appreg.core.asset_tags import tag_order
from appreg.core.outcomes import Outcome
from appreg.core.records import Appliance, Client, Instrument, Person, Site, Visit
from appreg.core.rule_book_loading import load_rule_book
from appreg.core.uids import Uid
from appreg.errors import Incomplete
from appreg.files import refuse_place
from appreg.paper.document_outcome import DocumentSummary
from appreg.paper.item_lines import InspectedItem
from appreg.paper.report_content import ReportDocument
from appreg.paper.report_fields import refuse_if_missing
from appreg.register.inspection_lists import inspections_of_visit
from appreg.register.register_file import Register
from appreg.tasks.find_rules import profile_at
from appreg.tasks.gather_documents import DocumentGatherer


def write_visit_report(
    register: Register, *, visit: Uid, out: Path, replace: bool = False, today: date
) -> DocumentSummary:
    """Write the report; a file that is there gives way only with `replace`.

    Raises Incomplete naming every statutory statement that is missing, InputRefused for a bad file.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.report_document import write_report_document  # noqa: PLC0415 - drawing costs others dearly

    document = visit_document(register, visit=visit, today=today)
    if not document.items:
        raise Incomplete(
            f"Nothing was inspected at {document.site.name} on {document.visit.date.isoformat()}: "
            "record an inspection before the report is written."
        )
    refuse_if_missing(document)
    return write_report_document(document, out, replace=replace)


def visit_document(register: Register, *, visit: Uid, today: date) -> ReportDocument:
    """All that the report of one visit shows; a corrected inspection gives way to its correction."""
    on = register.get(Visit, visit)
    site = register.get(Site, on.site)
    profile = profile_at(site, load_rule_book(site.rule_book))
    gatherer = DocumentGatherer(register)
    lines = [
        gatherer.line(register.get(Appliance, each.appliance), each) for each in inspections_of_visit(register, visit)
    ]
    items = tuple(sorted(lines, key=lambda line: tag_order(line.appliance.tag)))
    return ReportDocument(
        visit=on,
        site=site,
        client=register.get(Client, site.client),
        person=register.get(Person, on.person),
        instrument=register.get(Instrument, on.instrument) if on.instrument else None,
        items=items,
        rules=gatherer.rules_in_words(),
        defects=_defects(items),
        remedial_action=_remedial_action(items),
        profile_title=profile.title if profile else "",
        required=tuple(each.value for each in profile.required_fields) if profile else (),
        printed=today,
    )


def _defects(items: tuple[InspectedItem, ...]) -> str:
    failed = [line.appliance.tag for line in items if line.failed]
    incomplete = [
        line.appliance.tag for line in items if line.inspection and line.inspection.outcome is Outcome.INCOMPLETE
    ]
    said = f"Defects were found on {', '.join(failed)}." if failed else "No defects were found."
    if incomplete:
        return f"{said} The inspection of {', '.join(incomplete)} is incomplete and proves nothing."
    return said


def _remedial_action(items: tuple[InspectedItem, ...]) -> str:
    failed = [line for line in items if line.failed]
    if not failed:
        return "None was called for by a defect."
    return " ".join(f"{line.appliance.tag}: {line.remedial_action}." for line in failed)
