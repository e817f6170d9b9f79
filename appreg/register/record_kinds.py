"""Which table keeps which kind of record, and how each may change."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final, Generic, TypeVar

from peewee import Model

from appreg.core import records, work_records
from appreg.core.records import Record
from appreg.register import tables
from appreg.register.record_codec import Codec, codec_of

R = TypeVar("R", bound=Record)


@dataclass(frozen=True)
class Kind(Generic[R]):
    """One kind of record with its table."""

    record: type[R]
    model: type[Model]
    table: str
    append_only: bool = False
    """Inserted once, never changed and never removed."""

    @property
    def caption(self) -> str:
        """The kind in words, for a sentence."""
        return self.table.replace("_", " ")

    @cached_property
    def codec(self) -> Codec[R]:
        """How its records are written and read."""
        return codec_of(self.record)

    @cached_property
    def columns(self) -> str:
        """The column list as SQL."""
        return ", ".join(f'"{name}"' for name in self.codec.names)

    @cached_property
    def insert(self) -> str:
        """The statement that inserts a row."""
        marks = ", ".join("?" * len(self.codec.names))
        return f'INSERT INTO "{self.table}" ({self.columns}) VALUES ({marks})'

    @cached_property
    def fields(self) -> tuple[Any, ...]:
        """The columns as peewee's fields, in the codec's order."""
        return tuple(getattr(self.model, name) for name in self.codec.names)


_KINDS: Final[tuple[Kind[Any], ...]] = (
    Kind(records.Client, tables.ClientRow, "client"),
    Kind(records.Site, tables.SiteRow, "site"),
    Kind(records.Location, tables.LocationRow, "location"),
    Kind(records.Category, tables.CategoryRow, "category"),
    Kind(records.Person, tables.PersonRow, "person"),
    Kind(records.Instrument, tables.InstrumentRow, "instrument"),
    Kind(records.Appliance, tables.ApplianceRow, "appliance"),
    Kind(records.Visit, tables.VisitRow, "visit"),
    Kind(records.Inspection, tables.InspectionRow, "inspection", append_only=True),
    Kind(records.FindingRecord, tables.FindingRow, "finding", append_only=True),
    Kind(work_records.InspectionWithdrawal, tables.InspectionWithdrawalRow, "inspection_withdrawal"),
    Kind(records.QueuedLabel, tables.QueuedLabelRow, "queued_label"),
    Kind(work_records.BenchDraft, tables.BenchDraftRow, "bench_draft"),
    Kind(work_records.RemedialAction, tables.RemedialActionRow, "remedial_action"),
    Kind(work_records.IntervalOverride, tables.IntervalOverrideRow, "interval_override"),
)
KINDS: Final[dict[type[Any], Kind[Any]]] = {kind.record: kind for kind in _KINDS}
KINDS_BY_TABLE: Final[dict[str, Kind[Any]]] = {kind.table: kind for kind in _KINDS}


def kind_of(record: type[R]) -> Kind[R]:
    """The kind of a class of records; raises TypeError for anything else."""
    try:
        return KINDS[record]
    except KeyError:
        raise TypeError(f"{record.__name__} is not a kind of record") from None
