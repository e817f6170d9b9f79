"""What a card for user checks holds: what users look at, how often, and what they do about it."""

from datetime import date

from msgspec import Struct

from appreg.core.values.dates_in_words import DateForm
from appreg.paper.page.sheet_size import SheetSize


class CardFrequency(Struct, frozen=True, kw_only=True):
    """Items that are checked equally often."""

    every: str
    """How often or on which event, in words."""
    items: tuple[str, ...]
    """Tag and name."""
    because: str
    """The row of the interval table."""


class CardLook(Struct, frozen=True, kw_only=True):
    """One thing to look at."""

    title: str
    look_for: str
    common_practice: bool
    """No document is named for it."""


class UserCheckCard(Struct, frozen=True, kw_only=True):
    """A card for the users of some items."""

    title: str
    """A tag, a location or a site."""
    subtitle: str
    frequencies: tuple[CardFrequency, ...]
    """Empty: the interval table asks for no user check."""
    looks: tuple[CardLook, ...]
    ask: str
    """Whom to tell; empty: nobody is named."""
    table: str
    """The interval table in words."""
    sources: tuple[str, ...] = ()
    """Where the looks come from, a line each."""
    size: SheetSize = SheetSize.A5
    dates: DateForm = DateForm.WORDS
    printed: date
    """The day the card is made for; also its creation date."""
