"""What a report reaches to, and what it says nothing of."""

from typing import Final

from appreg.core.appliances import Owner
from appreg.core.item_facts import assumed_in
from appreg.core.outcomes import Outcome
from appreg.core.records import InspectionKind
from appreg.paper.item_words import limited_words
from appreg.paper.report_content import ReportDocument

PRINTED_NOTES: Final = ("extent:", "limitations:")
"""Notes of a visit that begin with one of these are printed; others stay in the register."""


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
    sentences = [inspected if count else "", limits, _printed_notes(document), document.keeping]
    return [sentence for sentence in sentences if sentence] or ["Nothing was inspected on this visit."]


def _limits(document: ReportDocument) -> list[str]:
    inspections = [item.inspection for item in document.items if item.inspection is not None]
    looked = sum(each.kind is InspectionKind.VISUAL for each in inspections)
    open_ones = sum(each.outcome is Outcome.INCOMPLETE for each in inspections)
    assumed = sum(bool(assumed_in(each.item_facts)) for each in inspections)
    limited = sum(bool(limited_words(item)) for item in document.items)
    others = sum(item.appliance.owner in {Owner.TENANT, Owner.OTHER} for item in document.items)
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


def _printed_notes(document: ReportDocument) -> str:
    notes = document.visit.notes.strip()
    return notes if notes.casefold().startswith(PRINTED_NOTES) else ""
