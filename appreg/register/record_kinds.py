"""Which table keeps which kind of record, and how each may change."""

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property
from typing import Any, Final, Generic, NamedTuple, TypeVar

from appreg.core import records, work_records
from appreg.core.asset_tags import tag_order
from appreg.core.records import Record
from appreg.register.record_codec import Cell, Codec, codec_of

R = TypeVar("R", bound=Record)


class Derived(NamedTuple):
    """A column that is worked out from another."""

    field: str
    work_out: Callable[[str], str]


class Kind(Generic[R]):
    """One kind of record with its table."""

    def __init__(
        self,
        record: type[R],
        table: str,
        *,
        append_only: bool = False,
        journalled: bool = True,
        derived: Mapping[str, Derived] | None = None,
    ) -> None:
        self.record = record
        self.table = table
        self.append_only = append_only
        """Inserted once, never changed and never removed."""
        self.journalled = journalled
        """Each change is a line of the journal; otherwise the table alone tells what there is."""
        self.derived: Final = derived or {}
        """Columns that follow from a text field and are kept beside it: no field, and nothing that the journal tells."""

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
        from inspect import Parameter, signature  # noqa: PLC0415 - only where journals are followed

        given = {name: each.default for name, each in signature(self.record).parameters.items()}
        return {
            name: self.codec.encode_value(name, default)
            for name, default in given.items()
            if default is not Parameter.empty and default is not None
        }

    @cached_property
    def columns(self) -> str:
        """The column list as SQL."""
        return ", ".join(f'"{name}"' for name in self.codec.names)

    @cached_property
    def insert(self) -> str:
        """The statement that inserts a row."""
        names = (*self.codec.names, *self.derived)
        columns = ", ".join(f'"{name}"' for name in names)
        return f'INSERT INTO "{self.table}" ({columns}) VALUES ({", ".join("?" * len(names))})'

    def with_derived(self, cells: Mapping[str, Cell]) -> dict[str, Cell]:
        """Cells by name, with those that follow from them."""
        worked_out = {
            name: each.work_out(str(cells[each.field])) for name, each in self.derived.items() if each.field in cells
        }
        return {**cells, **worked_out}

    def row(self, cells: Sequence[Cell]) -> tuple[Cell, ...]:
        """What `insert` puts in of the cells of a record."""
        if not self.derived:
            return tuple(cells)
        return tuple(self.with_derived(dict(zip(self.codec.names, cells, strict=True))).values())


_KINDS: Final[tuple[Kind[Any], ...]] = (
    Kind(records.Client, "client"),
    Kind(records.Site, "site"),
    Kind(records.Location, "location"),
    Kind(records.Category, "category"),
    Kind(records.Person, "person"),
    Kind(records.Instrument, "instrument"),
    Kind(records.Appliance, "appliance", derived={"tag_key": Derived("tag", tag_order)}),
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
