"""Write the notice of a failed item, of a failure that stands or of the last one that was put right."""

from datetime import date
from pathlib import Path

from appreg.core.judging.remedies import remedies_for
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Person, StatedInspection
from appreg.core.records.stated_words import failure_words
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.uids import Uid
from appreg.errors import NotFound
from appreg.files import refuse_place, write_whole
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.item_lines import LastTime
from appreg.paper.documents.notice_content import FailureNotice
from appreg.paper.page.sheet_size import SheetSize, sheet_size_named
from appreg.progress import Progress
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.inspection_lists import SavedInspections, saved_inspections
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import rules_of
from appreg.tasks.documents.gather_documents import DocumentGatherer, present_state
from appreg.tasks.documents.name_contact import contact_of
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.inspecting.list_repairs import put_right_by
from appreg.tasks.standing.queue_labels import whom_to_ask
from appreg.tasks.standing.settle_standing import standing_among, standing_of, standing_places


def write_notice(
    register: Register,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,  # noqa: ARG001 - one page is drawn at once
) -> DocumentSummary:
    """Write the notice; a file that is there gives way only with `replace`.

    Raises NotFound where the item never failed, InputRefused for a bad file.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.notice_document import drawn_notice  # noqa: PLC0415 - drawing costs others dearly

    size = sheet_size_named(asked.size, SheetSize.A5)
    drawn = drawn_notice(failure_notice(register, item=asked.of_item(), size=size, today=today))
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def failure_notice(register: Register, *, item: Uid, size: SheetSize = SheetSize.A5, today: date) -> FailureNotice:
    """All that the notice of an item shows; raises NotFound where no failure of it counts."""
    refuse_stray_records(register)
    thing = register.get(Appliance, item)
    known = saved_inspections(register, item)
    standing = standing_among(known)
    told = standing.failure
    if told is None and standing.stated_failure is not None:
        return _stated_notice(register, thing, standing.stated_failure, size, today)
    told = told or next((each for each in known.newest_first if _is_failure(each, known)), None)
    if told is None:
        raise NotFound(f"{thing.tag} has no failure on record that counts, so there is nothing to give notice of.")
    rules = rules_of(register, thing)
    dates = load_rule_book(rules.site.rule_book).date_form
    line = DocumentGatherer(register, dates).line(thing, told)
    person = register.get(Person, told.person)
    return FailureNotice(
        item=line,
        site=rules.site,
        failed_on=told.date,
        found_by=", ".join(part for part in (person.name, person.firm) if part),
        ask=contact_of(register, rules.site) or whom_to_ask(rules.site, person),
        put_right_by=put_right_by(rules.profile, thing, told.date),
        since=None if standing.failure is not None else _passed_after(register, told, known),
        remedies=remedies_for(each.check_name for each in line.findings if each.finding == CheckResult.FAIL),
        done=line.remedial_action,
        size=size,
        dates=dates,
        printed=today,
        state=present_state(register, today),
    )


def _stated_notice(
    register: Register, item: Appliance, stated: StatedInspection, size: SheetSize, today: date
) -> FailureNotice:
    """Of a failure that another states: it names no check, and the item is held until it has passed a whole test here."""
    rules = rules_of(register, item)
    dates = load_rule_book(rules.site.rule_book).date_form
    return FailureNotice(
        item=DocumentGatherer(register, dates).line(item, None),
        site=rules.site,
        failed_on=stated.on,
        found_by=stated.stated_by or "another, who is not named",
        stated=failure_words(stated),
        ask=contact_of(register, rules.site) or whom_to_ask(rules.site, None),
        put_right_by=put_right_by(rules.profile, item, stated.on),
        done="withdrawn from use" if item.state is ServiceState.WITHDRAWN else str(item.state),
        size=size,
        dates=dates,
        printed=today,
        state=present_state(register, today),
    )


def _is_failure(inspection: Inspection, known: SavedInspections) -> bool:
    return inspection.outcome is Outcome.FAIL and any(each.uid == inspection.uid for each in known.counting)


def _passed_after(register: Register, failure: Inspection, known: SavedInspections) -> LastTime | None:
    """The first inspection and test that ended a failure which no longer stands."""
    places = standing_places(known.saved)
    counting = sorted(known.counting, key=lambda each: places[each.uid])
    until = next(
        (
            each
            for place, each in enumerate(counting, start=1)
            if each.outcome is Outcome.PASS
            and each.kind is InspectionKind.COMBINED
            and failure in counting[:place]
            and standing_of(counting[:place], known.saved, sight=known.sight).failure is None
        ),
        None,
    )
    if until is None:
        return None
    return LastTime(inspection=until, person=register.get(Person, until.person).initials)
