"""What a checklist for a walk round a site holds: its rooms, what stands there, room for what nobody has entered."""

from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import Site
from appreg.core.values.dates_in_words import DateForm
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.item_lines import InspectedItem


class WalkRoom(Struct, frozen=True, kw_only=True):
    """One location with its items, by tag."""

    name: str
    items: tuple[InspectedItem, ...]


class WalkRoundList(Struct, frozen=True, kw_only=True):
    """A site, room by room as one walks."""

    site: Site
    rooms: tuple[WalkRoom, ...]
    spare: int = 3
    """Blank lines of each room."""
    failed: frozenset[str] = frozenset()
    """The tags of items whose failure stands."""
    dates: DateForm = DateForm.WORDS
    printed: date
    """The day the list is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells; None: it says nothing of that."""

    @property
    def count(self) -> int:
        """How many items there are."""
        return sum(len(room.items) for room in self.rooms)
