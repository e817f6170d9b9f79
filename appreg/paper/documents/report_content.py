"""What the report of one visit holds."""

from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import Client, Instrument, Person, Site, Visit
from appreg.core.values.dates_in_words import DateForm
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.item_lines import InspectedItem

PRINTED_NOTES: Final = ("extent:", "limitations:")
"""Notes of a visit that begin with one of these are printed; others stay in the register."""


def printed_notes(visit: Visit) -> str:
    """The notes of a visit where they are meant for the report; else empty."""
    notes = visit.notes.strip()
    return notes if notes.casefold().startswith(PRINTED_NOTES) else ""


class OutOfReach(Struct, frozen=True, kw_only=True):
    """An item that could not be inspected on the visit."""

    tag: str
    name: str
    location: str
    because: str
    """The reason in words, with whatever was said beside it."""


class ReportDocument(Struct, frozen=True, kw_only=True):
    """The record of inspection of one visit, for the duty holder."""

    visit: Visit
    site: Site
    client: Client
    person: Person
    instrument: Instrument | None = None
    items: tuple[InspectedItem, ...]
    """The items inspected on the visit, in the order of their tags."""
    earlier: tuple[InspectedItem, ...] = ()
    """Failures of the visit that a later record followed: put right and tested again, or corrected."""
    not_inspected: tuple[OutOfReach, ...] = ()
    """What could not be inspected, by tag; it stays due."""
    rules: tuple[str, ...] = ()
    """Rule books in words, each with its version, as applied on the day."""
    interval_table: str = ""
    """Title and edition of the interval table in use."""
    defects: str = ""
    """A statement of the person; needed where no item failed, say 'No defects were found.'"""
    remedial_action: str = ""
    """A statement of the person; needed unless every failed item has an action of its own."""
    profile_title: str = ""
    """The statutory duty in words; empty: none applies."""
    required: tuple[str, ...] = ()
    """Which statements that duty asks for, as ids of core.interval_tables.RecordField."""
    keeping: str = ""
    """How long that duty wants a copy kept, as a sentence; empty: it names no time."""
    dates: DateForm = DateForm.WORDS
    """How dates are written in the country of its rule book."""
    printed: date
    """The day the document is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells, as it says itself; None: it says nothing of that."""
