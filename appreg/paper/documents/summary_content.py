"""What the one-page summary for a duty holder holds."""

from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import Client, Site
from appreg.core.values.dates_in_words import DateForm
from appreg.paper.documents.document_state import DocumentState


class SummaryMonth(Struct, frozen=True, kw_only=True):
    """What falls due in one month."""

    month: str
    looks: int
    """Formal visual inspections."""
    tests: int
    """Inspections and tests."""


class DutySummary(Struct, frozen=True, kw_only=True):
    """How the items of one site stand, on one page."""

    site: Site
    client: Client
    counts: tuple[tuple[int, str], ...]
    to_do: tuple[tuple[str, str], ...]
    """When, and what: the soonest first."""
    months: tuple[SummaryMonth, ...]
    """The next twelve, the present one from its day on first."""
    failed: tuple[str, ...]
    """Each item that failed and has not passed since, in a line."""
    overdue: tuple[str, ...]
    """Each item that is overdue, in a line, the longest overdue first."""
    last_visit: str
    """When somebody inspected there last, and who; empty: nobody did."""
    duty: str
    """The statutory duty in words; empty: none is chosen for the site."""
    dates: DateForm = DateForm.WORDS
    printed: date
    """The day the summary is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells; None: it says nothing of that."""
