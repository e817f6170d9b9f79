"""What a blank recording sheet holds: items with their limits worked out, to be filled in by hand."""

from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.rules.limit_tables import EarthTable, KindLimits
from appreg.core.values.dates_in_words import DateForm
from appreg.paper.documents.document_state import DocumentState


class RecordingLine(Struct, frozen=True, kw_only=True):
    """One check to be made."""

    check: str
    """Its name in words."""
    figure: bool
    """A reading is taken; otherwise it is answered."""
    limit: str = ""
    """In words; empty: none, or it has no figure."""
    unit: str = ""
    how: str = ""
    """How it is measured, say at 500 V d.c., and how its limit came about."""
    last: str = ""
    """What was read last, and when; empty: nothing."""
    instead: bool = False
    """It may stand in place of the line before."""


class RecordingItem(Struct, frozen=True, kw_only=True):
    """One item with what is asked of it."""

    appliance: Appliance
    location: str
    looks: tuple[str, ...]
    """What to look at, one word each."""
    lines: tuple[RecordingLine, ...]
    assumed: tuple[str, ...] = ()
    """The facts that nobody has read from the item."""
    fault: str = ""
    """Why it fails however well it looks; empty: it does not."""
    contradiction: str = ""
    """Which of its facts contradict each other; empty: none do."""
    advice: tuple[str, ...] = ()
    """What is to be said of it whatever is found."""
    failed: str = ""
    """When it failed, where it has not passed since; empty: it has not failed."""


class RecordingSheet(Struct, frozen=True, kw_only=True):
    """Items of one site for a day without the program."""

    site: Site
    items: tuple[RecordingItem, ...]
    """By room as one walks, and by tag."""
    spare: int = 0
    """Blank blocks for items that are not in the register."""
    earth: EarthTable | None = None
    kinds: tuple[KindLimits, ...] = ()
    """With earth: limits for those."""
    stop: str = ""
    """When to stop, in the words of the rule book."""
    guarded: bool = False
    """A pass has to clear its limit by the uncertainty of the instrument."""
    book: str = ""
    """The rule book in words, with its version."""
    sources: tuple[str, ...] = ()
    """Each check with source and basis of its limit, once."""
    dates: DateForm = DateForm.WORDS
    printed: date
    """The day the sheet is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells; None: it says nothing of that."""
