"""What a report says in sentences: its extent, its limitations, and what is signed."""

from typing import Final

from appreg.core.records.appliances import NOT_THE_LANDLORDS
from appreg.core.records.kept_records import InspectionKind, Person
from appreg.core.rules.item_facts import assumed_in
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.item_words import LOOKED_AT, limited_words
from appreg.paper.documents.report_content import ReportDocument, printed_notes


def extent_sentences(document: ReportDocument) -> list[str]:
    """What was inspected, what was not, and how long the report is kept."""
    count = len(document.items)
    listed = (
        "the one item listed below"
        if count == 1
        else f"the {count} items listed below, each counted once however often it was inspected on this {document.work}"
    )
    inspected = f"Inspected: {listed}. Nothing is said of other items, nor of the fixed wiring."
    limits = " ".join(limit for limit in _limits(document) if limit)
    notes = dict.fromkeys(printed_notes(each.visit) for each in document.visits)
    sentences = [*_agreed(document), inspected if count else "", limits, *_beside(document), *notes, document.keeping]
    return [sentence for sentence in sentences if sentence] or [f"Nothing was inspected on this {document.work}."]


def _agreed(document: ReportDocument) -> list[str]:
    job = document.job
    if job is None:
        return []
    return [
        f"Extent as agreed: {job.extent}" if job.extent else "",
        f"Limitations: {job.limitations}" if job.limitations else "",
    ]


def _beside(document: ReportDocument) -> list[str]:
    """A day on which the person or the instrument changed has several visits, and whoever has one report has to know."""
    return [
        f"On {date_words(each.visit.date, document.dates)} items were inspected here on another visit too, by {each.person.name}"
        f"{f', with {each.instrument.name}, serial {each.instrument.serial}' if each.instrument else ''}: "
        f"this report does not tell of them."
        for each in document.beside
    ]


def _limits(document: ReportDocument) -> list[str]:
    inspections = [item.inspection for item in document.items if item.inspection is not None]
    looked = sum(each.kind is InspectionKind.VISUAL for each in inspections)
    tested = sum(item.only_looked and bool(item.tested) for item in document.items)
    open_ones = sum(each.outcome is Outcome.INCOMPLETE for each in inspections)
    assumed = sum(bool(assumed_in(each.item_facts)) for each in inspections)
    limited = sum(bool(limited_words(item)) for item in document.items)
    others = sum(item.appliance.owner in NOT_THE_LANDLORDS for item in document.items)
    return [
        _counted(
            len(document.not_inspected), "could not be inspected and stays due", "could not be inspected and stay due"
        ),
        _counted(open_ones, "is not finished", "are not finished"),
        _counted(looked - tested, "was looked at only, not tested", "were looked at only, not tested"),
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
        _left_over(document.untouched),
    ]


def _counted(count: int, one: str, several: str) -> str:
    if not count:
        return ""
    return f"One item {one}." if count == 1 else f"{count} items {several}."


def _left_over(count: int) -> str:
    if not count:
        return ""
    stands = "stands" if count == 1 else "stand"
    return f"{counted(count, 'further item')} in service {stands} in the register of this site, of which this job tells nothing."


_TESTED_ALL: Final = (
    "I have inspected and tested {items} as shown. The results are what I found on the day named, "
    "to the limits named, with the instrument named."
)
_TESTED_SOME: Final = (
    f"I have inspected {{items}}, and tested those that are not marked “{LOOKED_AT}”, as shown. "
    "The results are what I found on the day named, to the limits named, with the instrument named."
)
_LOOKED_ALL: Final = (
    "I have made a formal visual inspection of {items} as shown; I tested none of them. "
    "The results are what I saw on the day named."
)


def declaration(document: ReportDocument, person: Person) -> str:
    """What an inspector signs: nobody signs for a test that was not made, nor for the work of another."""
    alone = len(signing(document)) == 1
    own = [item for item in _inspected(document) if alone or _is_by(item, person)]
    items = (
        "the items listed below"
        if alone
        else f"those of the items in this report that bear my initials, {person.initials},"
    )
    looked = [_untested(item) for item in own]
    if any(looked):
        return (_LOOKED_ALL if all(looked) else _TESTED_SOME).format(items=items)
    return _TESTED_ALL.format(items=items)


def signing(document: ReportDocument) -> tuple[Person, ...]:
    """Whoever inspected any of the items; where there are none, whoever was there."""
    found = [each for each in document.people if any(_is_by(item, each) for item in _inspected(document))]
    return tuple(found) or document.people


def _inspected(document: ReportDocument) -> tuple[InspectedItem, ...]:
    return (*document.items, *document.earlier)


def _is_by(item: InspectedItem, person: Person) -> bool:
    return item.inspection is not None and item.inspection.person == person.uid


def _untested(item: InspectedItem) -> bool:
    return item.only_looked and not item.tested


def only_looked(document: ReportDocument) -> bool:
    """Tell whether nothing was tested of what was inspected."""
    inspected = _inspected(document)
    return bool(inspected) and all(map(_untested, inspected))


def work_words(document: ReportDocument) -> str:
    """What was done, as the report is titled."""
    return "formal visual inspection" if only_looked(document) else "inspection and test"


def received(document: ReportDocument) -> str:
    """What the duty holder signs."""
    failed = any(item.failed for item in document.items)
    told = " I have been told which items failed and must not be used." if failed else ""
    return f"I have received this report for {document.client.name}.{told}"
