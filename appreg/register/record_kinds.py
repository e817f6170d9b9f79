"""Which table keeps which kind of record, and how each may change."""

from collections.abc import Mapping
from functools import cached_property
from typing import Any, Final, Generic, TypeVar

from appreg.core import records, work_records
from appreg.core.records import Record
from appreg.register.record_codec import Cell, Codec, codec_of

R = TypeVar("R", bound=Record)


class Kind(Generic[R]):
    """One kind of record with its table."""

    def __init__(
        self,
        record: type[R],
        table: str,
        *,
        append_only: bool = False,
        journalled: bool = True,
        added: Mapping[str, Cell] | None = None,
    ) -> None:
        self.record = record
        self.table = table
        self.append_only = append_only
        """Inserted once, never changed and never removed."""
        self.journalled = journalled
        """Each change is a line of the journal; otherwise the table alone tells what there is."""
        self.added = added or {}
        """What a row written before a migration holds in the columns that it added, where that is not nothing."""

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


_KINDS: Final[tuple[Kind[Any], ...]] = (
    Kind(records.Client, "client"),
    Kind(records.Site, "site"),
    Kind(records.Location, "location"),
    Kind(
        records.Category,
        "category",
        added={"moulded_plug": 0, "mineral_insulated": 0, "synonyms": "[]", "scope": ""},
    ),
    Kind(records.Person, "person"),
    Kind(records.Instrument, "instrument"),
    Kind(records.Appliance, "appliance", added={"mineral_insulated": 0}),
    Kind(records.Visit, "visit", added={"instrument_check": ""}),
    Kind(records.Inspection, "inspection", append_only=True),
    Kind(records.FindingRecord, "finding", append_only=True, added={"method": ""}),
    Kind(work_records.InspectionWithdrawal, "inspection_withdrawal"),
    Kind(records.QueuedLabel, "queued_label"),
    Kind(work_records.BenchDraft, "bench_draft", journalled=False, added={"place": 0}),
    Kind(work_records.RemedialAction, "remedial_action"),
    Kind(work_records.IntervalOverride, "interval_override"),
    Kind(work_records.ItemMovement, "item_movement"),
    Kind(work_records.NotInspected, "not_inspected"),
)
KINDS: Final[dict[type[Any], Kind[Any]]] = {kind.record: kind for kind in _KINDS}
KINDS_BY_TABLE: Final[dict[str, Kind[Any]]] = {kind.table: kind for kind in _KINDS}

JOURNALLED: Final = tuple(kind.table for kind in _KINDS if kind.journalled)
"""The tables that the journal tells."""


def kind_of(record: type[R]) -> Kind[R]:
    """The kind of a class of records; raises TypeError for anything else."""
    try:
        return KINDS[record]
    except KeyError:
        raise TypeError(f"{record.__name__} is not a kind of record") from None
