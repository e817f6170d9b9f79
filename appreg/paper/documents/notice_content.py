"""What the notice of a failed item holds."""

from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import Site
from appreg.core.values.dates_in_words import DateForm
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.item_lines import InspectedItem, LastTime
from appreg.paper.page.sheet_size import SheetSize


class FailureNotice(Struct, frozen=True, kw_only=True):
    """A failure of one item, for whoever may take it in hand."""

    item: InspectedItem
    """The item with the inspection that failed it."""
    site: Site
    failed_on: date
    found_by: str
    """Name and firm of whoever found the failure, or whoever states it."""
    stated: str = ""
    """Of a failure that another states without readings: that, where it comes from and what is said; empty: it was found here."""
    ask: str
    """Whom to ask, and how to reach them."""
    put_right_by: date | None = None
    """The day by which a duty wants it put right."""
    since: LastTime | None = None
    """The inspection and test that it passed after the failure; None: the failure stands."""
    remedies: tuple[str, ...] = ()
    """What would put it right, in general."""
    done: str = ""
    """What was done about it so far."""
    size: SheetSize = SheetSize.A5
    dates: DateForm = DateForm.WORDS
    printed: date
    """The day the notice is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells; None: it says nothing of that."""
