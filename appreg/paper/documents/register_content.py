"""What the register document of a site holds."""

from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import Client, Instrument, Person, Site
from appreg.core.values.dates_in_words import DateForm
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.item_lines import InspectedItem


class RegisterDocument(Struct, frozen=True, kw_only=True):
    """The whole register of one site as of one day."""

    site: Site
    client: Client
    items: tuple[InspectedItem, ...]
    """Every item of the site, in the order of their tags; the document puts failures first."""
    people: tuple[Person, ...] = ()
    """Everyone named in the items' inspections."""
    instruments: tuple[Instrument, ...] = ()
    """Every instrument used in them."""
    rules: tuple[str, ...] = ()
    """Rule books in words, each with its version, say 'UK Code of Practice, 5th edition (gb 1)'."""
    interval_table: str = ""
    """Title of the interval table in use."""
    environment: str = ""
    """Title of the site's environment."""
    details: bool = False
    """Every reading of each item follows as an annex."""
    dates: DateForm = DateForm.WORDS
    """How dates are written in the country of its rule book."""
    printed: date
    """The day the document is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells, as it says itself; None: it says nothing of that."""
