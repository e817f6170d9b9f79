"""Write the inspection report of a visit."""

from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Final

from msgspec import structs

from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Client,
    Inspection,
    Instrument,
    Location,
    Person,
    Site,
    Visit,
)
from appreg.core.rules.interval_tables import LandlordProfile
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.rule_values import Basis
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import Incomplete
from appreg.files import refuse_place
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.report_content import OutOfReach, ReportDocument
from appreg.paper.documents.report_fields import refuse_if_missing
from appreg.progress import Progress
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.inspection_lists import inspections_of_visit, is_withdrawn
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.desk.find_rules import profile_at
from appreg.tasks.documents.gather_documents import DocumentGatherer, present_state, table_words
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.inspecting.record_not_inspected import not_inspected_on

_CORRECTED: Final = "corrected on this visit"


def write_visit_report(
    register: Register, *, visit: Uid, out: Path, replace: bool = False, today: date
) -> DocumentSummary:
    """Write the report; a file that is there gives way only with `replace`.

    Raises Incomplete naming every statutory statement that is missing, InputRefused for a bad file.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.report_document import write_report_document  # noqa: PLC0415 - drawing costs others dearly

    state = present_state(register, today)
    document = structs.replace(reported_document(register, visit=visit, today=today), state=state)
    return write_report_document(document, out, replace=replace)


def write_report_asked(
    register: Register, asked: Asked, *, out: Path, replace: bool, today: date, progress: Progress | None
) -> DocumentSummary:
    """The same as `write_paper` calls it; a report is short, so nothing is told of how far it is."""
    del progress
    return write_visit_report(register, visit=asked.of_visit(), out=out, replace=replace, today=today)


def reported_document(register: Register, *, visit: Uid, today: date) -> ReportDocument:
    """All that the report of one visit shows; raises Incomplete where nothing was done, or naming what is missing."""
    document = visit_document(register, visit=visit, today=today)
    if not document.items and not document.not_inspected:
        raise Incomplete(
            f"Nothing was inspected at {document.site.name} on {date_words(document.visit.date)}: "
            "record an inspection before the report is written."
        )
    refuse_if_missing(document)
    return document


def visit_document(register: Register, *, visit: Uid, today: date) -> ReportDocument:
    """All that the report of one visit shows; a corrected inspection gives way to its correction."""
    refuse_stray_records(register)
    on = register.get(Visit, visit)
    site = register.get(Site, on.site)
    book = load_rule_book(site.rule_book)
    profile = profile_at(site, book)
    gatherer = DocumentGatherer(register, book.date_form)
    recorded = [
        each for each in inspections_of_visit(register, visit, effective=False) if not is_withdrawn(register, each.uid)
    ]
    counting = {each.appliance: each for each in inspections_of_visit(register, visit)}
    items = _in_order(gatherer.line(register.get(Appliance, each.appliance), each) for each in counting.values())
    earlier = _in_order(
        structs.replace(
            gatherer.line(register.get(Appliance, each.appliance), each), note=_what_followed(each, recorded)
        )
        for each in recorded
        if each.outcome is Outcome.FAIL and each.uid != counting[each.appliance].uid
    )
    return ReportDocument(
        visit=on,
        site=site,
        client=register.get(Client, site.client),
        person=register.get(Person, on.person),
        instrument=register.get(Instrument, on.instrument) if on.instrument else None,
        items=items,
        earlier=earlier,
        not_inspected=_out_of_reach(register, visit),
        rules=gatherer.rules_in_words(),
        interval_table=table_words(interval_table(book, site.interval_table)),
        defects=_defects(items, earlier),
        remedial_action=_remedial_action((*earlier, *items)),
        profile_title=profile.title if profile else "",
        required=tuple(each.value for each in profile.required_fields) if profile else (),
        keeping=_keeping(profile) if profile else "",
        dates=book.date_form,
        printed=today,
    )


def _keeping(profile: LandlordProfile) -> str:
    if profile.keep_years is None:
        return ""
    basis = profile.citation_of("keep_years").basis
    first = ", from memory: local rules come first" if basis is Basis.MEMORY else ""
    return f"Keep a copy of this report for {profile.keep_years} years ({profile.title}{first})."


def _out_of_reach(register: Register, visit: Uid) -> tuple[OutOfReach, ...]:
    rows = []
    for each in not_inspected_on(register, visit):
        item = register.get(Appliance, each.appliance)
        because = ", ".join(part for part in (each.because.value, each.note) if part)
        place = register.get(Location, item.location).name
        rows.append(OutOfReach(tag=item.tag, name=item.name, location=place, because=because))
    return tuple(sorted(rows, key=lambda row: tag_order(AssetTag(row.tag))))


def _in_order(lines: Iterable[InspectedItem]) -> tuple[InspectedItem, ...]:
    return tuple(sorted(lines, key=lambda line: tag_order(line.appliance.tag)))


def _what_followed(failure: Inspection, recorded: Sequence[Inspection]) -> str:
    """What a later record of the visit says of a failure: no record takes it off the report."""
    correction = next((each for each in recorded if each.supersedes == failure.uid), None)
    if correction is not None:
        return f"{_CORRECTED}, then {correction.outcome}: {correction.reason}"
    return "inspected and tested again on this visit, see below"


def _defects(items: tuple[InspectedItem, ...], earlier: tuple[InspectedItem, ...]) -> str:
    slips = [line.appliance.tag for line in earlier if _is_slip(line)]
    failed = dict.fromkeys(line.appliance.tag for line in (*earlier, *items) if _is_defect(line))
    incomplete = [
        line.appliance.tag for line in items if line.inspection and line.inspection.outcome is Outcome.INCOMPLETE
    ]
    said = f"Defects were found on {', '.join(failed)}." if failed else "No defects were found."
    if slips:
        said += f" A failure recorded of {', '.join(slips)} was corrected on this visit, as listed above."
    if incomplete:
        return f"{said} The inspection of {', '.join(incomplete)} is incomplete and proves nothing."
    return said


def _is_defect(line: InspectedItem) -> bool:
    return line.defective and not _is_slip(line)


def _is_slip(line: InspectedItem) -> bool:
    """A failure that was corrected before anybody put something right."""
    return line.note.startswith(_CORRECTED) and "repaired" not in line.remedial_action


def _remedial_action(items: tuple[InspectedItem, ...]) -> str:
    defective = [line for line in items if _is_defect(line)]
    if not defective:
        return "None was called for by a defect."
    return " ".join(f"{line.appliance.tag}: {_action(line)}." for line in defective)


def _action(line: InspectedItem) -> str:
    """What was done about a defect, on the spot first."""
    return "; ".join((*line.put_right, *([line.remedial_action] if line.failed else ())))
