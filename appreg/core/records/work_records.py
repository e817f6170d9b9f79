"""What the register keeps beside inspections: drafts, repairs, items on the move, intervals set by hand."""

from datetime import date
from enum import StrEnum

from msgspec import Struct

from appreg.core.values.uids import Uid


class InspectionWithdrawal(Struct, frozen=True, kw_only=True):
    """An inspection taken back: it stays in the register but counts for nothing."""

    uid: Uid
    inspection: Uid
    reason: str


class BenchDraft(Struct, frozen=True, kw_only=True):
    """A half-filled bench, kept so that a crash or a closed lid loses nothing."""

    uid: Uid
    appliance: Uid
    visit: Uid
    saved_at: str
    """When it was last kept, as the bench shows it."""
    body: str
    """What was typed so far, JSON."""
    place: int = 0
    """The later it was begun, the higher among those of the register."""


class RemedialAction(Struct, frozen=True, kw_only=True):
    """What is done about a failed item, from the failure to the inspection that returns it to service."""

    uid: Uid
    appliance: Uid
    inspection: Uid
    """The inspection that failed."""
    what: str
    """What has to be put right."""
    told: str = ""
    """Who was told."""
    opened_on: date
    repair: str = ""
    """What was done; empty: nothing yet."""
    repaired_on: date | None = None
    closed_by: Uid | None = None
    """The inspection that passed the item again."""


class OverrideScope(StrEnum):
    """What an interval set by hand applies to."""

    APPLIANCE = "appliance"
    CATEGORY = "category"
    LOCATION = "location"


class IntervalKind(StrEnum):
    """Which of the two intervals is set by hand."""

    VISUAL = "visual"
    TEST = "test"


class IntervalOverride(Struct, frozen=True, kw_only=True):
    """An interval set by hand for an item, a category or a location, with its reason and author."""

    uid: Uid
    scope: OverrideScope
    target: Uid
    """The appliance, category or location."""
    what: IntervalKind
    period: str
    """ISO 8601, say P6M."""
    reason: str
    author: str
    on: date
    signed_by_duty_holder: bool = False
    """A duty holder signed for an interval longer than the statutory profile's."""
    signed_by: str = ""
    """The duty holder who signed for an interval longer than the table's or a statute's; empty: nobody named."""
    signed_on: date | None = None


class NotInspectedBecause(StrEnum):
    """Why an item could not be inspected on a visit."""

    NO_ACCESS = "no access"
    REFUSED = "refused"
    IN_USE = "in use"
    NOT_PRESENTED = "not presented"
    NOT_FOUND = "not found"
    BELONGS_TO_ANOTHER = "belongs to another"


class NotInspected(Struct, frozen=True, kw_only=True):
    """An item that could not be inspected on a visit: it stays due, and the report says why."""

    uid: Uid
    appliance: Uid
    visit: Uid
    date: date
    person: Uid
    because: NotInspectedBecause
    note: str = ""


class Movement(StrEnum):
    """An item going out, coming back, or coming to a site; or the home it is let with changing its tenant."""

    ISSUED = "issued"
    RETURNED = "returned"
    BROUGHT = "brought on site"
    TENANCY = "change of tenancy"


class ItemMovement(Struct, frozen=True, kw_only=True):
    """One movement of an item that asks for an inspection: some tables want one before issue, after return, on site."""

    uid: Uid
    appliance: Uid
    movement: Movement
    on: date
    note: str = ""
    """To whom it was issued, say."""
