"""What the report of a visit, or of a job of several visits, holds."""

from collections.abc import Iterable
from datetime import date
from typing import Final, TypeVar

from msgspec import Struct

from appreg.core.records.job_records import Firm, Job
from appreg.core.records.kept_records import Client, Instrument, Person, Site, Visit
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.uids import Uid
from appreg.paper.documents.document_state import DocumentState
from appreg.paper.documents.item_lines import InspectedItem

PRINTED_NOTES: Final = ("extent:", "limitations:")
"""Notes of a visit that begin with one of these are printed; others stay in the register."""
T = TypeVar("T", Person, Instrument)


def printed_notes(visit: Visit) -> str:
    """The notes of a visit where they are meant for the report; else empty."""
    notes = visit.notes.strip()
    return notes if notes.casefold().startswith(PRINTED_NOTES) else ""


class OutOfReach(Struct, frozen=True, kw_only=True):
    """An item that could not be inspected on the visit, or on any of the job."""

    tag: str
    name: str
    location: str
    because: str
    """The reason in words, with whatever was said beside it."""


class ReportedVisit(Struct, frozen=True, kw_only=True):
    """A day's work that the report tells of."""

    visit: Visit
    person: Person
    instrument: Instrument | None = None


class SourceLookedUp(Struct, frozen=True, kw_only=True):
    """A source of limits that somebody has compared with a copy of the document."""

    version: str
    """Of the rule book, as inspections name it."""
    source: str
    """As findings cite it."""
    said: str
    """Against which copy, when and by whom."""
    whole: bool
    """Every figure that the book has from it was compared; otherwise `said` names those that were."""


class ReportDocument(Struct, frozen=True, kw_only=True):
    """The record of inspection of one visit or one job, for the duty holder."""

    visits: tuple[ReportedVisit, ...]
    """One at least, the earliest first."""
    other_people: tuple[Person, ...] = ()
    """Those who inspected something on these visits, though no visit is theirs."""
    other_instruments: tuple[Instrument, ...] = ()
    """What something was measured with on these visits, though no visit names it."""
    used_on: tuple[tuple[Uid, date], ...] = ()
    """Of each instrument the last day on which something was measured with it."""
    beside: tuple[ReportedVisit, ...] = ()
    """Other visits to the site on the same days, of which it tells nothing else."""
    job: Job | None = None
    """The job that they are of; None: the report is of a single visit."""
    firm: Firm | None = None
    """Who did the work; None: the register names no firm of its own."""
    site: Site
    client: Client
    items: tuple[InspectedItem, ...]
    """The items inspected, each once with the inspection that counts, in the order of their tags."""
    earlier: tuple[InspectedItem, ...] = ()
    """Failures that a later record of the work followed: put right and tested again, or corrected."""
    not_inspected: tuple[OutOfReach, ...] = ()
    """What could not be inspected, by tag; it stays due."""
    untouched: int = 0
    """Of a job: items in service at the site that it has nothing to tell of."""
    rules: tuple[str, ...] = ()
    """Rule books in words, each with its version, as applied on the day."""
    looked_up: tuple[SourceLookedUp, ...] = ()
    interval_table: str = ""
    """Title and edition of the interval table in use."""
    defects: str = ""
    """A statement of the person; needed where no item failed, say 'No defects were found.'"""
    remedial_action: str = ""
    """A statement of the person; needed unless every failed item has an action of its own."""
    profile_title: str = ""
    """The statutory duty in words; empty: none applies."""
    required: tuple[str, ...] = ()
    """Which statements that duty asks for, as ids of core.interval_tables.RecordField."""
    keeping: str = ""
    """How long that duty wants a copy kept, as a sentence; empty: it names no time."""
    dates: DateForm = DateForm.WORDS
    """How dates are written in the country of its rule book."""
    printed: date
    """The day the document is made for; also its creation date."""
    state: DocumentState | None = None
    """Which state of the register it tells, as it says itself; None: it says nothing of that."""

    @property
    def people(self) -> tuple[Person, ...]:
        """Whoever inspected, each once."""
        return _each_once((*(each.person for each in self.visits), *self.other_people))

    @property
    def instruments(self) -> tuple[Instrument, ...]:
        """What was measured with, each once."""
        named = [each.instrument for each in self.visits if each.instrument is not None]
        return _each_once((*named, *self.other_instruments))

    def last_used(self, instrument: Instrument) -> date:
        """The last day on which one of its instruments was used, or was named for a visit."""
        named = [each.visit.date for each in self.visits if each.instrument == instrument]
        return max((*named, *(on for uid, on in self.used_on if uid == instrument.uid)), default=self.last_day)

    @property
    def by_several(self) -> bool:
        """More than one visit, person or instrument: each item has to say whose result it is."""
        return max(len(self.visits), len(self.people), len(self.instruments)) > 1

    @property
    def last_day(self) -> date:
        """The day on which the work ended."""
        return self.visits[-1].visit.date

    @property
    def days(self) -> str:
        """The day of the visit in words; of several the first and the last."""
        first, last = (date_words(self.visits[place].visit.date, self.dates) for place in (0, -1))
        return first if first == last else f"{first} to {last}"

    @property
    def work(self) -> str:
        """What the report is of, as a sentence calls it."""
        return "visit" if self.job is None else "job"


def _each_once(records: Iterable[T]) -> tuple[T, ...]:
    return tuple({each.uid: each for each in records}.values())
