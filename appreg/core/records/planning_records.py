"""What a plan of visits stands on: crews, ways between districts, kept plans, booked visits, and what calendars were told."""

from datetime import date
from enum import StrEnum

from msgspec import Struct

from appreg.core.values.uids import Uid


class Crew(Struct, frozen=True, kw_only=True):
    """People who go out together, and the time they have."""

    uid: Uid
    name: str
    people: int = 1
    minutes_a_day: int = 420
    """Of each person, ways and setting up included."""
    days: str = ""
    """The days they work, as a rule of RFC 5545; empty: Monday to Friday."""
    days_from: date | None = None
    """The day from which a rule such as every second week counts; None: from wherever a plan starts."""
    absent: tuple[str, ...] = ()
    """Days on which they do not work, as lines of a list of closures: 2026-12-24..2027-01-02 holidays."""
    base: str = ""
    """Where they set out from."""
    notes: str = ""


class DistrictTravel(Struct, frozen=True, kw_only=True):
    """How long it takes from one district to another, either way."""

    uid: Uid
    district: str
    other: str
    minutes: int


class KeptPlan(Struct, frozen=True, kw_only=True):
    """A plan that somebody goes on with another day; its visits are rows of their own."""

    uid: Uid
    name: str
    whose: str = ""
    """Name of the person who keeps it."""
    made_on: date
    terms: str
    """What it keeps to, JSON."""
    step: int = 0
    """Acts done to it since it was kept; each is one change in the journal and is undone as one."""
    said: str = ""
    """The last act in words."""


class KeptVisit(Struct, frozen=True, kw_only=True):
    """A day at a site in a kept plan."""

    uid: Uid
    plan: Uid
    site: Uid
    day: date
    crew: Uid | None = None
    items: tuple[str, ...] = ()
    """Keys of the items that are done, each with `visual` or `test` behind it; empty: whatever is due."""


class BookedVisit(Struct, frozen=True, kw_only=True):
    """A visit that was agreed with the site; plans go round it."""

    uid: Uid
    site: Uid
    day: date
    crew: Uid | None = None
    person: Uid | None = None
    confirmed: bool = False
    """The site has said that it will do."""
    items: tuple[str, ...] = ()
    """Keys of the items that are done; empty: whatever is due."""
    note: str = ""
    event: str = ""
    """The key of its event in calendars, the same wherever it is moved to."""


class CalendarKind(StrEnum):
    """What a calendar was told."""

    VISIT = "visit"
    TASK = "task"


class CalendarEntry(Struct, frozen=True, kw_only=True):
    """An event or a to-do that was written into a calendar, as it was written last."""

    uid: Uid
    event: str
    """The key by which calendar programs know it."""
    kind: CalendarKind
    site: Uid
    day: date
    sequence: int = 0
    """Rises with each change, so that calendar programs take the later one."""
    content: str
    """A hash over what it said."""
    cancelled: bool = False
