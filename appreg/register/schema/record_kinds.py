"""Which table keeps which kind of record, and how each may change."""

from collections.abc import Callable
from functools import cache, cached_property
from typing import Any, Final, Generic, TypeVar

from msgspec import NODEFAULT
from msgspec.structs import fields

from appreg.core.records import issued_documents, job_records, planning_records, print_jobs, work_records
from appreg.core.records import kept_records as records
from appreg.core.records.kept_records import Record
from appreg.register.schema.record_codec import Cell, Codec, codec_of

R = TypeVar("R", bound=Record)


class Kind(Generic[R]):
    """One kind of record with its table."""

    def __init__(self, record: type[R], table: str, *, append_only: bool = False, journalled: bool = True) -> None:
        self.record = record
        self.table = table
        self.append_only = append_only
        """Inserted once, never changed and never removed."""
        self.journalled = journalled
        """Each change is a line of the journal; otherwise the table alone tells what there is."""

    @property
    def caption(self) -> str:
        """The kind in words, for a sentence."""
        return self.table.replace("_", " ")

    @cached_property
    def codec(self) -> Codec[R]:
        """How its records are written and read."""
        return codec_of(self.record)

    @cached_property
    def added(self) -> dict[str, Cell]:
        """What a row holds in a column that a migration added after it was written: the field's own default."""
        return {
            each.name: self.codec.encode_value(each.name, each.default)
            for each in fields(self.record)
            if each.default is not NODEFAULT and each.default is not None
        }

    @cached_property
    def columns(self) -> str:
        """The column list as SQL."""
        return ", ".join(f'"{name}"' for name in self.codec.names)


_KINDS: Final[tuple[Kind[Any], ...]] = (
    Kind(records.Client, "client"),
    Kind(records.Site, "site"),
    Kind(records.Location, "location"),
    Kind(records.Category, "category"),
    Kind(records.Person, "person"),
    Kind(records.Instrument, "instrument"),
    Kind(records.Appliance, "appliance"),
    Kind(job_records.Job, "job"),
    Kind(records.Visit, "visit"),
    Kind(records.Inspection, "inspection", append_only=True),
    Kind(records.FindingRecord, "finding", append_only=True),
    Kind(work_records.InspectionWithdrawal, "inspection_withdrawal"),
    Kind(records.QueuedLabel, "queued_label"),
    Kind(work_records.BenchDraft, "bench_draft", journalled=False),
    Kind(work_records.RemedialAction, "remedial_action"),
    Kind(work_records.IntervalOverride, "interval_override"),
    Kind(work_records.ItemMovement, "item_movement"),
    Kind(work_records.NotInspected, "not_inspected"),
    Kind(planning_records.Crew, "crew"),
    Kind(planning_records.DistrictTravel, "district_travel"),
    Kind(planning_records.KeptPlan, "kept_plan"),
    Kind(planning_records.KeptVisit, "kept_visit"),
    Kind(planning_records.BookedVisit, "booked_visit"),
    Kind(planning_records.CalendarEntry, "calendar_entry"),
    Kind(job_records.Firm, "firm"),
    Kind(job_records.FigureLookedUp, "figure_looked_up"),
    Kind(issued_documents.IssuedDocument, "issued_document", append_only=True),
    Kind(print_jobs.PrintJob, "print_job", append_only=True),
    Kind(records.StatedInspection, "stated_inspection"),
)
KINDS: Final[dict[type[Any], Kind[Any]]] = {kind.record: kind for kind in _KINDS}
KINDS_BY_TABLE: Final[dict[str, Kind[Any]]] = {kind.table: kind for kind in _KINDS}

JOURNALLED: Final = tuple(kind.table for kind in _KINDS if kind.journalled)
"""The tables that the journal tells."""


def _kind_of(record: type[R]) -> Kind[R]:
    try:
        return KINDS[record]
    except KeyError:
        raise TypeError(f"{record.__name__} is not a kind of record") from None


_remembered: Any = cache(_kind_of)
kind_of: Callable[[type[R]], Kind[R]] = _remembered
"""The kind of a class of records; raises TypeError for anything else."""
