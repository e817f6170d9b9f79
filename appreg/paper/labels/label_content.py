"""What one label says."""

from datetime import date

from msgspec import Struct

from appreg.core.records.kept_records import LabelKind
from appreg.core.values.dates_in_words import DateForm


class LabelText(Struct, frozen=True, kw_only=True):
    """The words and the code of one label; drawn so that pass and fail differ in word and in form."""

    tag: str
    """Asset tag, the largest words on the label."""
    kind: LabelKind
    """Pass, or do not use."""
    site: str
    """Name of the site."""
    on: date
    """Date of the inspection."""
    initials: str
    """Of the person who inspected."""
    tester: str = ""
    """Whoever inspected, person or firm or both, where the rule book wants more than initials."""
    colour: str = ""
    """The colour of the period, in the user's word; empty: none. A label of a failed item never shows it."""
    dates: DateForm = DateForm.WORDS
    """How its dates are written."""
    without: tuple[str, ...] = ()
    """The checks that a pass was given without, in words. A label of a failed item never shows them."""
    item: str = ""
    """What the item is, say Kettle."""
    next_date: date | None = None
    """Set only where a next date is asked for on the label; a label of a failed item never shows it."""
    payload: str
    """What the code says; see qr_codes.payload_for."""
