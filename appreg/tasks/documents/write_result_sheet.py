"""Write the result sheet of an item: how it stands, and all that was ever found of it."""

from datetime import date
from pathlib import Path

from appreg.core.records.kept_records import Appliance, Client, Inspection
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.uids import Uid
from appreg.files import refuse_place, write_whole
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.result_content import ResultSheet
from appreg.progress import Progress
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.inspection_lists import SavedInspections, is_withdrawn, saved_inspections, successor_of
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import rules_of
from appreg.tasks.documents.gather_documents import DocumentGatherer, present_state
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.standing.settle_standing import standing_among


def write_result_sheet(
    register: Register, *, item: Uid, out: Path, replace: bool = False, today: date
) -> DocumentSummary:
    """Write the sheet; a file that is there gives way only with `replace`.

    Raises NotFound, InputRefused for a bad file, and where a record it shows is damaged.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.result_document import drawn_result_sheet  # noqa: PLC0415 - drawing costs others dearly

    drawn = drawn_result_sheet(result_sheet(register, item=item, today=today))
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def write_results_asked(
    register: Register,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,  # noqa: ARG001 - the inspections of one item are drawn at once
) -> DocumentSummary:
    """The same as a declared document."""
    return write_result_sheet(register, item=asked.of_item(), out=out, replace=replace, today=today)


def result_sheet(register: Register, *, item: Uid, today: date) -> ResultSheet:
    """All that the result sheet of an item shows."""
    refuse_stray_records(register)
    state = present_state(register, today)
    thing = register.get(Appliance, item)
    site = rules_of(register, thing).site
    dates = load_rule_book(site.rule_book).date_form
    gatherer = DocumentGatherer(register, dates)
    known = saved_inspections(register, item)
    failed_on = standing_among(known).failed_on
    latest = register.get(Inspection, thing.last_inspection) if thing.last_inspection else None
    counting = {each.uid for each in known.counting}
    history = tuple(gatherer.line(thing, each) for each in known.newest_first if each.uid in counting)
    return ResultSheet(
        item=gatherer.line(thing, latest, with_test=True),
        site=site,
        client=register.get(Client, site.client),
        failed_on=failed_on,
        history=history,
        set_aside=_set_aside(register, known, dates),
        people=tuple(gatherer.people.values()),
        instruments=tuple(gatherer.instruments.values()),
        rules=gatherer.rules_in_words(),
        dates=dates,
        printed=today,
        state=state,
    )


def _set_aside(register: Register, known: SavedInspections, dates: DateForm) -> tuple[str, ...]:
    """The inspections that do not count, the newest first, each with why."""
    counting = {each.uid for each in known.counting}
    told = []
    for each in known.newest_first:
        if each.uid not in counting:
            what = f"{each.kind.value} inspection of {date_words(each.date, dates)}, {each.outcome}"
            told.append(f"The {what}, {_why_not(register, each)}.")
    return tuple(told)


def _why_not(register: Register, inspection: Inspection) -> str:
    if is_withdrawn(register, inspection.uid):
        return "was taken back"
    correction = successor_of(register, inspection.uid)
    if correction is None:
        return "does not count"
    reason = register.get(Inspection, correction).reason
    return f"was corrected, because: {reason or 'no reason given'}"
