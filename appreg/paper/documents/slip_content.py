"""What the slip holds that goes out and comes back with issued items."""

from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import Site
from appreg.core.values.dates_in_words import DateForm
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.page.sheet_size import SheetSize


class SlipItem(Struct, frozen=True, kw_only=True):
    """One item on the slip."""

    item: InspectedItem
    """As it stands, with its last test."""
    age: str
    """How old its last test is, in words."""
    out_since: date | None = None
    """The day of its issue; None: it is not out."""
    to: str = ""
    """What was noted at its issue, to whom it went say."""
    failed_on: date | None = None
    """The day of a failure that stands; only of one that is out, others are not issued."""
    before_issue: tuple[str, ...] = ()
    """What its next issue asks for, in words."""


class IssueSlip(Struct, frozen=True, kw_only=True):
    """Items that go out together."""

    site: Site
    items: tuple[SlipItem, ...]
    ask: str
    """Whom to tell of damage; empty: nobody is named."""
    size: SheetSize = SheetSize.A5
    dates: DateForm = DateForm.WORDS
    printed: date
    """The day the slip is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells; None: it says nothing of that."""
