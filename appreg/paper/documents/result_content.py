"""What the result sheet of an item holds."""

from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import Client, Instrument, Person, Site
from appreg.core.values.dates_in_words import DateForm
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.item_lines import InspectedItem


class ResultSheet(Struct, frozen=True, kw_only=True):
    """One item with all that was ever found of it."""

    item: InspectedItem
    """As it stands: its latest result, its last test and its last look."""
    site: Site
    client: Client
    failed_on: date | None = None
    """The day of the failure that stands; None: none does."""
    history: tuple[InspectedItem, ...] = ()
    """By every inspection that counts, the newest first."""
    set_aside: tuple[str, ...] = ()
    """The inspections that do not count, a sentence each: taken back, or corrected by which."""
    people: tuple[Person, ...] = ()
    instruments: tuple[Instrument, ...] = ()
    rules: tuple[str, ...] = ()
    """Rule books in words, each with its version."""
    dates: DateForm = DateForm.WORDS
    printed: date
    """The day the sheet is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells; None: it says nothing of that."""
