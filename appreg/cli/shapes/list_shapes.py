"""Sites, visits and what was made, as JSON."""

from collections.abc import Sequence
from typing import Literal, TypedDict

from appreg.cli.shapes.due_shapes import InspectionCounts, ItemCounts
from appreg.cli.shapes.plain_shapes import Day


class SiteItemCounts(ItemCounts):
    """How the items of a site stand; those disposed of are not among them."""

    all: int
    in_service: int
    failed: int
    """Latest result a failure, in service or withdrawn."""
    damaged: int


class SiteCounts(TypedDict):
    """Counts of a site, each with what it counts."""

    items: SiteItemCounts
    inspections: InspectionCounts


class SiteShape(TypedDict):
    """A site as lists have it."""

    uid: str
    site: str
    prefix: str
    client: str
    address: str
    rule_book: str
    interval_table: str
    environment: str
    landlord_profile: str
    responsible: str
    """Whoever sees to it there that items are inspected in time; empty: nobody is named."""
    responsible_contact: str
    counts: SiteCounts
    overdue_share: int | None
    """How many in a hundred of the items in service are overdue, rounded up; null where none is in service."""
    oldest_overdue: Day | None
    """The day since which something is overdue."""


class SitesAnswer(TypedDict):
    """What `list sites` writes."""

    format: Literal["appreg.sites"]
    version: Literal[2]
    sites: list[SiteShape]
    damaged: list[str]
    """What could not be read, a sentence each."""


class VisitShape(TypedDict):
    """A visit as lists have it."""

    uid: str
    date: Day
    site: str
    person: str
    instrument: str | None
    """Its serial number."""
    passed: int
    failed: int
    incomplete: int
    not_inspected: int
    """Items that could not be inspected."""
    fixed_wiring_reference: str
    notes: str


class VisitsAnswer(TypedDict):
    """What `list visits` writes."""

    format: Literal["appreg.visits"]
    version: Literal[1]
    visits: list[VisitShape]
    damaged: list[str]
    """What could not be read, a sentence each."""


class ListFileAnswer(TypedDict):
    """What a list on the screen is written as, its rows by the names of its columns."""

    format: Literal["appreg.list"]
    version: Literal[1]
    list: str
    """Which list, and what it is kept to beside the filter: a site, say, or a state."""
    filter: str
    """What was typed to find its rows; empty: all of them."""
    sorted_by: str
    """A column; empty: the list's own order."""
    descending: bool
    columns: Sequence[str]
    rows: Sequence[dict[str, str | int | None]]
    """Days are ISO 8601."""


class IssuedShape(TypedDict):
    """One issue of a document."""

    uid: str
    number: int
    issue: int
    on: Day
    kind: str
    """`report` or `register`."""
    site: str
    scope: str
    """What it tells of, in words."""
    by: str
    seal: str
    """As it stands on the document."""
    file_hash: str
    """The SHA-256 of the file."""
    latest: bool
    """No later issue of it was made."""


class IssuedAnswer(TypedDict):
    """What `list issued` writes."""

    format: Literal["appreg.issued"]
    version: Literal[1]
    issued: list[IssuedShape]
    damaged: list[str]
    """What could not be read, a sentence each."""


class JobOfWorkShape(TypedDict):
    """One job: visits that are handed over as one."""

    uid: str
    job: str
    """What it is called at its site."""
    site: str
    visits: list[Day]
    """The days of its visits, the earliest first."""
    items: int
    """Inspected on any of them, each once."""
    passed: int
    failed: int
    incomplete: int
    extent: str
    limitations: str
    wiring_report: str
    wiring_on: Day | None
    wiring_next: Day | None
    wiring_rcd: str
    signatory: str
    """Who signs for the duty holder."""
    notes: str


class JobsAnswer(TypedDict):
    """What `list jobs` writes."""

    format: Literal["appreg.jobs"]
    version: Literal[1]
    jobs: list[JobOfWorkShape]
    damaged: list[str]
    """What could not be read, a sentence each."""


class PrintedLabelShape(TypedDict):
    """A label that was on it."""

    label: str
    """Its key in the tray."""
    place: str
    """Sheet and place: 2:13."""


class PrintedShape(TypedDict):
    """One file that a printer's queue took."""

    uid: str
    number: int
    on: Day
    at: str
    """HH:MM."""
    kind: str
    """`labels` or `document`."""
    what: str
    site: str | None
    """None: several, or none."""
    document: str | None
    """The issued document that it was: 17.2."""
    printer: str
    queued_as: str
    """As the queue numbered it: Office-12."""
    copies: int
    sheets: int
    """Pages of the file."""
    pages: str
    """Those that were asked for; empty: all."""
    media: str
    by: str
    file_hash: str
    """The SHA-256 of the file."""
    labels: list[PrintedLabelShape]


class PrintedAnswer(TypedDict):
    """What `list printed` writes."""

    format: Literal["appreg.printed"]
    version: Literal[1]
    printed: list[PrintedShape]
    damaged: list[str]
    """What could not be read, a sentence each."""


class MadeShape(TypedDict):
    """One record that was made."""

    uid: str
    words: str
    """How people know it."""


class NewRecordsAnswer(TypedDict):
    """What `new KIND` writes."""

    format: Literal["appreg.new"]
    version: Literal[1]
    what: str
    made: list[MadeShape]
